/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The two models behind one interface, on bare geometry and materials (no devices, no plan text). */
#ifndef ES_MODEL_H
#define ES_MODEL_H

#include "earshot/propagation.h"
#include "geometry/geometry.h"
#include "propagation/material.h"

/* What waves travel through. Everything is borrowed. */
typedef struct es_structure {
    const es_geometry *geometry;
    const es_material *material; /* [n_materials], indexed by es_panel.material etc. */
    size_t n_materials;
    const earshot_element *element; /* kind and material of each, indexed by es_panel.element etc. */
    const es_layer *ground;         /* electrical class of open ground at z = ground_z_m; NULL: none */
    double ground_z_m;
} es_structure;

/* The direct model, between two points: symmetric in a and b to the last bit. */
earshot_status es_direct_loss(const es_structure *structure, double frequency_hz, earshot_vec3 a, earshot_vec3 b,
                              earshot_loss *loss);

/* How often the straight line passes through each material, as the direct model counts it (corners once, further floors
 * less): weight[n_materials], what its loss changes by when the material's loss changes by 1 dB. */
earshot_status es_direct_weights(const es_structure *structure, double frequency_hz, earshot_vec3 a, earshot_vec3 b,
                                 double *weight);

/* COST 231 floor term for k floors of loss each: total of k^((k+2)/(k+1) - b) with b = 0.46, as a factor on the mean
 * loss of one floor. k = 0 gives 0, k = 1 gives 1. */
double es_floor_factor(size_t k);
/* Weight on the loss of the i-th floor (from 0) when the floors crossed are put in order of loss, the largest first:
 * es_floor_factor(i + 1) - es_floor_factor(i). The weights fall from 1, so that no floor ever takes loss away. */
double es_floor_weight(size_t i);

#endif
