/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Materials as the physics needs them: layers with electrical parameters, loss tables. */
#ifndef ES_MATERIAL_H
#define ES_MATERIAL_H

#include <complex.h>

#include "earshot/plan.h"

typedef struct es_layer {
    double a, b, c, d; /* eps' = a f^b, sigma = c f^d S/m, f in GHz (ITU-R P.2040) */
    double from_hz, to_hz;
    double thickness_m;
    bool conductor;
} es_layer;

typedef struct es_material {
    const es_layer *layer; /* [n_layers], front to back; owned by the site */
    size_t n_layers;
    const earshot_loss_entry *loss; /* [n_losses] by rising frequency; borrowed from the plan */
    size_t n_losses;
    double thickness_m; /* of all layers */
    double spread_db;
    double correction_db; /* added to the loss: what readings on site found; 0 without them */
    earshot_basis basis;  /* of the table; without a table only JUDGEMENT counts, and says that the layers are one */
} es_material;

/* Loss at normal incidence for the direct model, and how it is known. Frequency in Hz, above 0. */
double es_material_loss_db(const es_material *material, double frequency_hz, earshot_basis *basis);
/* Complex relative permittivity, e^{+jwt}: eps' - j sigma / (2 pi f eps0). */
double complex es_layer_permittivity(const es_layer *layer, double frequency_hz);

#endif
