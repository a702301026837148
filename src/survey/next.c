/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which reading would teach most. docs/model/calibrate.md */
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

#include "earshot/survey.h"
#include "survey/fade.h"
#include "survey/posterior.h"

static const double SAME_SPOT_M = 0.01;

/* One device that goes by radio. */
typedef struct candidate {
    size_t device;
    es_view view;
    double spare_db;      /* margin less fading depth and need: the verdict is direct where this is not below 0 */
    double variance;      /* of that */
    double read_variance; /* fading and noise of one reading there */
    bool read;            /* already: another reading at the same spot would show the same fading */
} candidate;

typedef struct candidates {
    candidate *item;
    size_t n;
} candidates;

static double sigma_of(const earshot_link *link)
{
    return hypot(link->loss.material_sigma_db, link->loss.model_sigma_db);
}

static bool goes_by_radio(const earshot_check *check, size_t device)
{
    return earshot_site_plan(check->site)->device[device].wiring != EARSHOT_WIRING_MUST &&
           check->device[device].link.loss.distance_m > 0.0;
}

/* The standard deviation that the model states for itself, before the readings changed it. */
static earshot_status stated_sigma(const earshot_calibration *c, const earshot_check *check, earshot_vec3 from,
                                   earshot_vec3 to, double *sigma_db)
{
    earshot_field *field;
    earshot_loss loss;
    earshot_status status = earshot_field_new(c->before, check->model, check->frequency_hz, from,
                                              EARSHOT_ANTENNA_ISOTROPIC, EARSHOT_DETAIL_LINK, &field);
    if (status) return status;
    status = earshot_field_at(field, to, EARSHOT_ANTENNA_ISOTROPIC, &loss);
    earshot_field_free(field);
    if (!status) *sigma_db = loss.model_sigma_db;
    return status;
}

static double apart_m(earshot_vec3 a, earshot_vec3 b)
{
    return hypot(hypot(a.x_m - b.x_m, a.y_m - b.y_m), a.z_m - b.z_m);
}

static bool was_read(const es_posterior *p, const es_link_point *link)
{
    for (size_t i = 0; i < p->n; i++) {
        const es_link_point *r = &p->row[i].link;
        if (r->frequency_hz == link->frequency_hz && apart_m(r->near, link->near) < SAME_SPOT_M &&
            apart_m(r->far, link->far) < SAME_SPOT_M)
            return true;
    }
    return false;
}

static earshot_status look(const earshot_calibration *c, const earshot_check *check, size_t device, candidate *out)
{
    const earshot_link *link = &check->device[device].link;
    const earshot_vec3 from = earshot_site_receiver_at(check->site, check->receiver);
    const earshot_vec3 to = earshot_site_device_at(check->site, device);
    double sigma_db;
    earshot_status status = stated_sigma(c, check, from, to, &sigma_db);
    if (!status) status = es_view_at(c->posterior, check->frequency_hz, from, to, sigma_db, &out->view);
    if (status) return status;
    const double fade_db = es_fade_of(link->loss.rice_k).sigma_db, noise_db = c->noise_db;
    out->device = device;
    out->spare_db = link->margin_db - link->fading_db - check->need.margin_db;
    out->variance = sigma_of(link) * sigma_of(link);
    out->read_variance = fade_db * fade_db + noise_db * noise_db;
    out->read = was_read(c->posterior, &out->view.link);
    return EARSHOT_OK;
}

static earshot_status look_at_all(const earshot_calibration *c, const earshot_check *check, candidates *all)
{
    for (size_t d = 0; d < check->n_devices; d++) {
        if (!goes_by_radio(check, d)) continue;
        const earshot_status status = look(c, check, d, &all->item[all->n]);
        if (status) return status;
        all->n++;
    }
    return EARSHOT_OK;
}

/* Probability that the verdict drawn from the mean is the wrong one. */
static double doubt(double spare_db, double variance)
{
    if (!(variance > 0.0)) return 0.0;
    return gsl_cdf_ugaussian_P(-fabs(spare_db) / sqrt(variance));
}

/* The same after a reading that takes `learnt` off the variance, averaged over what it may show: the mean then moves by
 * a normal variable of that variance. Trapezoids over +-4 standard deviations. */
static double doubt_after(double spare_db, double variance, double learnt)
{
    enum { STEPS = 80 };
    const double left = variance - learnt;
    double sum = 0.0, weights = 0.0;
    for (int i = 0; i <= STEPS; i++) {
        const double z = -4.0 + 8.0 * i / STEPS, weight = exp(-0.5 * z * z);
        sum += weight * doubt(spare_db + z * sqrt(learnt), left);
        weights += weight;
    }
    return sum / weights;
}

static double fall(const es_posterior *posterior, const candidates *all, const candidate *read)
{
    double sum = 0.0;
    if (read->read) return 0.0;
    for (size_t i = 0; i < all->n; i++) {
        const candidate *c = &all->item[i];
        const double shared = es_view_covariance(posterior, &c->view, &read->view);
        const double learnt = fmin(shared * shared / (read->variance + read->read_variance), c->variance);
        sum += doubt(c->spare_db, c->variance) - doubt_after(c->spare_db, c->variance, learnt);
    }
    return fmax(0.0, sum);
}

static int most_first(const void *a, const void *b)
{
    const earshot_next *x = a, *y = b;
    if (x->fall != y->fall) return x->fall > y->fall ? -1 : 1;
    return (x->device > y->device) - (x->device < y->device);
}

static void rank(const earshot_calibration *c, const candidates *all, earshot_next *next, double *total)
{
    *total = 0.0;
    for (size_t i = 0; i < all->n; i++) {
        const candidate *item = &all->item[i];
        *total += doubt(item->spare_db, item->variance);
        next[i] = (earshot_next){item->device, sqrt(item->variance), fall(c->posterior, all, item)};
    }
    if (all->n) qsort(next, all->n, sizeof *next, most_first);
}

earshot_status earshot_next_readings(const earshot_calibration *calibration, const earshot_check *check,
                                     earshot_next *next, size_t *n, double *doubt_now)
{
    if (!calibration || !check || !next || !n || !doubt_now || check->site != calibration->after)
        return EARSHOT_ARGUMENT;
    candidates all = {.item = calloc(check->n_devices + 1, sizeof *all.item)};
    const earshot_status status = all.item ? look_at_all(calibration, check, &all) : EARSHOT_MEMORY;
    if (!status) {
        rank(calibration, &all, next, doubt_now);
        *n = all.n;
    }
    for (size_t i = 0; all.item && i < all.n; i++) es_view_clear(&all.item[i].view);
    free(all.item);
    return status;
}
