/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "propagation/slab.h"

/* What leaks around a conductor that no table describes, and so what the direct model takes for it: seams, gaps and the
 * ways around. Engineering judgement, between the 20 dB of siding and the 40 dB of a close metal box. */
#define CONDUCTOR_LEAK_DB 30.0

/* Nothing is heard through this; a larger figure would say no more, and -20 log10(0) has none. */
#define OPAQUE_DB 200.0

/* Straight line in log frequency, flat beyond the ends. */
static double table_loss_db(const earshot_loss_entry *entry, size_t n, double frequency_hz)
{
    if (frequency_hz <= entry[0].frequency_hz) return entry[0].loss_db;
    size_t upper = 1;
    while (upper < n && entry[upper].frequency_hz < frequency_hz) upper++;
    if (upper == n) return entry[n - 1].loss_db;
    const earshot_loss_entry low = entry[upper - 1], high = entry[upper];
    const double share = log(frequency_hz / low.frequency_hz) / log(high.frequency_hz / low.frequency_hz);
    return low.loss_db + share * (high.loss_db - low.loss_db);
}

/* A value used a tenth outside its table's frequencies is still that value; further away it is a guess. */
static earshot_basis table_basis(const es_material *material, double frequency_hz)
{
    const double low_hz = material->loss[0].frequency_hz, high_hz = material->loss[material->n_losses - 1].frequency_hz;
    const bool outside = frequency_hz < 0.9 * low_hz || frequency_hz > 1.1 * high_hz;
    return outside && material->basis != EARSHOT_BASIS_JUDGEMENT ? EARSHOT_BASIS_EXTRAPOLATED : material->basis;
}

static bool has_conductor(const es_material *material)
{
    for (size_t i = 0; i < material->n_layers; i++)
        if (material->layer[i].conductor) return true;
    return false;
}

/* Classes that are themselves a judgement make the material one: it says so, and no range can better it. */
static earshot_basis layers_basis(const es_material *material, double frequency_hz)
{
    if (material->basis == EARSHOT_BASIS_JUDGEMENT) return EARSHOT_BASIS_JUDGEMENT;
    for (size_t i = 0; i < material->n_layers; i++) {
        const es_layer *layer = &material->layer[i];
        /* Written so that a range left out (NAN) is no reason to call the value extrapolated. */
        if (frequency_hz < layer->from_hz || frequency_hz > layer->to_hz) return EARSHOT_BASIS_EXTRAPOLATED;
    }
    return EARSHOT_BASIS_COMPUTED;
}

static double layers_loss_db(const es_material *material, double frequency_hz)
{
    double complex t[2], r[2];
    es_slab_layers(material->layer, material->n_layers, frequency_hz, 1.0, t, r);
    const double loss_db = -20.0 * log10(cabs(t[ES_TE]));
    return fmin(fmax(loss_db, 0.0), OPAQUE_DB);
}

static double stated_loss_db(const es_material *material, double frequency_hz, earshot_basis *how)
{
    if (material->n_losses) {
        *how = table_basis(material, frequency_hz);
        return table_loss_db(material->loss, material->n_losses, frequency_hz);
    }
    if (has_conductor(material)) {
        *how = EARSHOT_BASIS_JUDGEMENT;
        return CONDUCTOR_LEAK_DB;
    }
    *how = layers_basis(material, frequency_hz);
    return layers_loss_db(material, frequency_hz);
}

/* A correction may not turn a wall into an amplifier. */
double es_material_loss_db(const es_material *material, double frequency_hz, earshot_basis *basis)
{
    earshot_basis unused;
    const double stated_db = stated_loss_db(material, frequency_hz, basis ? basis : &unused);
    return fmax(0.0, stated_db + material->correction_db);
}
