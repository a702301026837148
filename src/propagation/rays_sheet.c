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
