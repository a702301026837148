/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Transmission and reflection of each material, tabulated once a frequency. */
#include <math.h>

#include "propagation/rays_inner.h"
#include "propagation/slab.h"

/* Both are smooth in the cosine: the sharpest feature of a house, 4 mm of glass at 434 MHz near grazing, is 0.1 wide,
 * so that a straight line between 512 steps errs by less than 0.0005 (tests/unit/propagation_rays/test_rays_sheet.c).
 */
void es_rays_table_fill(rays_table *table, const es_material *material, double frequency_hz)
{
    table->thickness_m = material->thickness_m;
    table->opaque = true;
    double largest = 0.0;
    for (size_t i = RAYS_ANGLES + 1; i-- > 0;) {
        rays_sample *sample = &table->sample[i];
        es_slab_coefficients(material, frequency_hz, (double)i / RAYS_ANGLES, sample->t, sample->r);
        table->t_abs[i] = cabs(sample->t[ES_TE]);
        largest = fmax(largest, cabs(sample->r[ES_TE]));
        table->r_from[i] = largest;
        if (table->t_abs[i] > 0.0) table->opaque = false;
    }
}

void es_rays_table_halve(rays_table *table)
{
    for (size_t i = 0; i <= RAYS_ANGLES; i++) {
        rays_sample *sample = &table->sample[i];
        for (int p = ES_TE; p <= ES_TM; p++) {
            sample->t[p] = sqrt(cabs(sample->t[p]));
            sample->r[p] = 0.0;
        }
        table->t_abs[i] = cabs(sample->t[ES_TE]);
        table->r_from[i] = 0.0;
    }
}

/* Ground so deep that nothing comes back from below. */
static const double DEEP_M = 1e4;

void es_rays_table_fill_ground(rays_table *table, const es_layer *layer, double frequency_hz)
{
    es_layer deep = *layer;
    deep.thickness_m = DEEP_M;
    for (size_t i = 0; i <= RAYS_ANGLES; i++) {
        rays_sample *sample = &table->sample[i];
        es_slab_layers(&deep, 1, frequency_hz, (double)i / RAYS_ANGLES, sample->t, sample->r);
        sample->t[ES_TE] = sample->t[ES_TM] = 0.0;
        table->t_abs[i] = 0.0;
        table->r_from[i] = 1.0;
    }
    table->opaque = true;
}

static size_t step_of(double cosine, double *part)
{
    const double x = fmin(fmax(cosine, 0.0), 1.0) * RAYS_ANGLES;
    size_t i = (size_t)x;
    if (i == RAYS_ANGLES) i--;
    *part = x - (double)i;
    return i;
}

double complex es_rays_t(const rays_table *table, int polarisation, double cosine)
{
    double part;
    const size_t i = step_of(cosine, &part);
    const double complex low = table->sample[i].t[polarisation], high = table->sample[i + 1].t[polarisation];
    return low + part * (high - low);
}

double complex es_rays_r(const rays_table *table, int polarisation, double cosine)
{
    double part;
    const size_t i = step_of(cosine, &part);
    const double complex low = table->sample[i].r[polarisation], high = table->sample[i + 1].r[polarisation];
    return low + part * (high - low);
}

double es_rays_t_abs(const rays_table *table, double cosine)
{
    double part;
    const size_t i = step_of(cosine, &part);
    return table->t_abs[i] + part * (table->t_abs[i + 1] - table->t_abs[i]);
}

double es_rays_r_bound(const rays_table *table, double smallest_cosine)
{
    double part;
    return table->r_from[step_of(smallest_cosine, &part)];
}

/* Share of the upright component that is TE: the ray's direction is (sine u, cosine), the wall's normal n is level, so
 * TE lies along (sine u, cosine) x n. */
static double te_share(double cosine, rays_climb climb)
{
    const double level = 1.0 - cosine * cosine, steep = climb.cosine * climb.cosine * cosine * cosine;
    return level + steep > 0.0 ? level / (level + steep) : 1.0;
}

double complex es_rays_wall_t(const rays_table *table, int component, double cosine, rays_climb climb)
{
    const double true_cosine = cosine * climb.sine;
    if (climb.cosine == 0.0) return es_rays_t(table, component == RAYS_UPRIGHT ? ES_TE : ES_TM, true_cosine);
    const double share = component == RAYS_UPRIGHT ? te_share(cosine, climb) : 1.0 - te_share(cosine, climb);
    return share * es_rays_t(table, ES_TE, true_cosine) + (1.0 - share) * es_rays_t(table, ES_TM, true_cosine);
}

/* The upright component keeps its sense when mirrored, the level one turns round with the ray; TM is counted along
 * s x e (slab.h), hence the signs: a conductor gives -1 and +1. */
double complex es_rays_wall_r(const rays_table *table, int component, double cosine, rays_climb climb)
{
    const double true_cosine = cosine * climb.sine, sign = component == RAYS_UPRIGHT ? 1.0 : -1.0;
    const double share = component == RAYS_UPRIGHT ? te_share(cosine, climb) : 1.0 - te_share(cosine, climb);
    const double complex te = es_rays_r(table, ES_TE, true_cosine);
    if (share == 1.0) return sign * te;
    return sign * (share * te - (1.0 - share) * es_rays_r(table, ES_TM, true_cosine));
}
