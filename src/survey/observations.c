/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings as rows of a linear regression: values, bounds, a panel's scale; which were read at one spot; how noisy. */
#include <math.h>

#include "survey/heard.h"
#include "survey/work.h"

static const double SAME_SPOT_M = 0.01;

/* Two readings of one device on a quiet day differ by some 2 dB: our judgement, no source. It counts as much as four
 * differences that were really read. */
static const double USUAL_NOISE_DB = 2.0, USUAL_COUNT = 4.0;
static const double LARGEST_STEP_DB = 8.0; /* of two readings in a row; more is drift or wild, and is counted as this */
static const double LEAST_FADE_DB = 0.5, LEAST_NOISE_DB = 0.5;

/* A panel's scale before it is fitted: the span of levels that such receivers hear, our judgement. */
static const double SCALE_LOW_DBM = -110.0, SCALE_HIGH_DBM = -40.0;
static const double LEAST_SPAN_DB = 5.0;

/* ---- places ---- */

static double apart_m(earshot_vec3 a, earshot_vec3 b)
{
    return hypot(hypot(a.x_m - b.x_m, a.y_m - b.y_m), a.z_m - b.z_m);
}

static bool same_place(const es_work *w, size_t i, size_t j)
{
    return w->ends.group[i] == w->ends.group[j] &&
           apart_m(w->readings->reading[i].at, w->readings->reading[j].at) < SAME_SPOT_M;
}

static void number_places(es_work *w)
{
    w->n_places = 0;
    for (size_t i = 0; i < w->n; i++) {
        size_t j = 0;
        while (j < i && !same_place(w, i, j)) j++;
        w->row[i].place = j < i ? w->row[j].place : w->n_places++;
    }
}

/* ---- noise ---- */

/* From differences of readings that follow each other at one place, which slow drift hardly touches: J. von Neumann's
 * mean square successive difference (1941; from memory). */
static double estimate_noise(es_work *w)
{
    double squares = USUAL_COUNT * USUAL_NOISE_DB * USUAL_NOISE_DB, count = USUAL_COUNT;
    for (size_t i = 0; i < w->n; i++) {
        size_t j = i;
        while (j-- > 0)
            if (w->row[j].place == w->row[i].place && !es_is_bound(w, j)) break;
        if (j == (size_t)-1 || es_is_bound(w, i)) continue;
        const double step_db = fmin(fabs(es_measured_dbm(w, i) - es_measured_dbm(w, j)), LARGEST_STEP_DB);
        squares += step_db * step_db / 2.0;
        count += 1.0;
    }
    w->noise_estimated = count > USUAL_COUNT;
    return sqrt(squares / count);
}

/* A stated figure covers fading at the spot and noise together. */
static void share_noise(es_work *w)
{
    const double stated = w->options->noise_db;
    w->noise_db = isnan(stated) ? estimate_noise(w) : fmin(stated / sqrt(2.0), USUAL_NOISE_DB);
    for (size_t i = 0; i < w->n; i++) {
        const double rest = stated * stated - w->noise_db * w->noise_db;
        const double fade = w->now[i].fade_sigma_db;
        w->noise_variance[i] = fmax(w->noise_db * w->noise_db, LEAST_NOISE_DB * LEAST_NOISE_DB);
        w->place_variance[i] = fmax(isnan(stated) ? fade * fade : rest, LEAST_FADE_DB * LEAST_FADE_DB);
    }
    /* One spot has one fading, whatever the model says of it today. */
    for (size_t i = 0; i < w->n; i++)
        for (size_t j = 0; j < i; j++)
            if (w->row[j].place == w->row[i].place) {
                w->place_variance[i] = w->place_variance[j];
                break;
            }
}

void es_observations_start(es_work *w)
{
    number_places(w);
    w->theta[ES_OFFSET] = 0.0;
    if (w->scale_fitted) {
        w->theta[ES_SCALE_LOW] = SCALE_LOW_DBM;
        w->theta[ES_SCALE_HIGH] = SCALE_HIGH_DBM;
    }
    share_noise(w);
    for (size_t i = 0; i < w->n; i++) {
        w->place_trust[i] = w->noise_trust[i] = 1.0;
        w->latent_dbm[i] = w->now[i].level_dbm;
        w->row[i].link = (es_link_point){w->readings->reading[i].at, w->ends.far[i],
                                         w->readings->reading[i].frequency_hz, w->now[i].model_sigma_db};
    }
}

/* ---- levels ---- */

bool es_is_bound(const es_work *w, size_t i)
{
    return w->readings->reading[i].unit == EARSHOT_LEVEL_NONE;
}

static double scale_low(const es_work *w)
{
    return w->scale_fitted ? w->theta[ES_SCALE_LOW] : w->options->scale_low_dbm;
}

/* A scale does not run backwards. */
static double scale_high(const es_work *w)
{
    return w->scale_fitted ? fmax(w->theta[ES_SCALE_HIGH], scale_low(w) + LEAST_SPAN_DB) : w->options->scale_high_dbm;
}

double es_measured_dbm(const es_work *w, size_t i)
{
    const earshot_reading *r = &w->readings->reading[i];
    switch (r->unit) {
    case EARSHOT_LEVEL_DBM: return r->level + r->attenuator_db;
    case EARSHOT_LEVEL_MARGIN: return w->now[i].threshold_dbm + r->level + r->attenuator_db;
    case EARSHOT_LEVEL_SCALE:
        return scale_low(w) + (scale_high(w) - scale_low(w)) * r->level / 100.0 + r->attenuator_db;
    case EARSHOT_LEVEL_NONE: break;
    }
    return NAN;
}

double es_needed_dbm(const es_work *w, size_t i)
{
    return w->now[i].threshold_dbm + w->readings->reading[i].attenuator_db;
}

/* ---- rows ---- */

/* Level foretold now, offset included. */
static double expected_dbm(const es_work *w, size_t i)
{
    return w->now[i].level_dbm + w->theta[ES_OFFSET];
}

/* The panel rounds and wavers in its own scale, so that its reading is what errs, not the level: the slope over the two
 * ends is taken at the reading foretold, not at the one read, which would flatten the scale. */
static void fill_scale(es_work *w, size_t i, double *x)
{
    const double low = scale_low(w), high = scale_high(w);
    const double level_dbm = expected_dbm(w, i) - w->readings->reading[i].attenuator_db;
    const double share = fmin(fmax((level_dbm - low) / (high - low), 0.0), 1.0);
    x[ES_SCALE_LOW] = -(1.0 - share);
    x[ES_SCALE_HIGH] = -share;
}

/* y is made so that y - x theta is the residual now. */
static void fill_row(es_work *w, size_t i)
{
    double *x = w->x + i * w->p;
    es_observation *row = &w->row[i];
    for (size_t j = 0; j < w->p; j++) x[j] = 0.0;
    x[ES_OFFSET] = 1.0;
    if (w->scale_fitted && w->readings->reading[i].unit == EARSHOT_LEVEL_SCALE) fill_scale(w, i, x);
    double linear = 0.0;
    for (size_t j = 0; j < w->first_material; j++) linear += x[j] * w->theta[j];
    for (size_t j = 0; j < w->n_materials; j++) {
        x[w->first_material + j] = w->slope[i * w->n_materials + j];
        linear += x[w->first_material + j] * es_walls_correction(w, w->theta, j);
    }
    row->variance = es_distrusted(w->noise_variance[i], w->noise_trust[i]);
    row->place_variance = es_distrusted(w->place_variance[i], w->place_trust[i]);
    double measured_dbm = es_measured_dbm(w, i);
    if (es_is_bound(w, i)) {
        const es_bound b = es_heard_bound(w->readings->reading[i].heard, w->latent_dbm[i], es_needed_dbm(w, i),
                                          sqrt(w->noise_variance[i]));
        measured_dbm = b.y_dbm;
        row->variance = b.variance;
    }
    w->value_dbm[i] = measured_dbm;
    row->y = measured_dbm - expected_dbm(w, i) + linear;
}

void es_observations_fill(es_work *w)
{
    for (size_t i = 0; i < w->n; i++) fill_row(w, i);
}

/* ---- trust ---- */

static double move(double *trust, double to)
{
    const double step = fabs(to - *trust);
    *trust = to;
    return step;
}

/* A place is judged by the mean of what was read there, as its readings are wild together. */
static double distrust_place(es_work *w, size_t place)
{
    double residual = 0.0, sigma = 0.0, n = 0.0, largest = 0.0;
    for (size_t i = 0; i < w->n; i++) {
        if (w->row[i].place != place || es_is_bound(w, i)) continue;
        residual += w->left[i].residual_db;
        sigma += w->left[i].sigma_db;
        n += 1.0;
    }
    if (n == 0.0) return 0.0;
    const double trust = es_trust(residual / n, sigma / n);
    for (size_t i = 0; i < w->n; i++)
        if (w->row[i].place == place) largest = fmax(largest, move(&w->place_trust[i], trust));
    return largest;
}

/* One of several readings at a place is judged by the others there too. */
static double distrust_row(es_work *w, size_t i, size_t at_place)
{
    if (at_place < 3 || es_is_bound(w, i)) return 0.0;
    const double precision = w->solution.precision[i * w->n + i];
    if (!(precision > 0.0)) return 0.0;
    const double residual = w->solution.alpha[i] / precision;
    const double variance = 1.0 / precision - w->row[i].variance + w->noise_variance[i];
    return move(&w->noise_trust[i], es_trust(residual, sqrt(fmax(variance, w->noise_variance[i]))));
}

static size_t count_at_place(const es_work *w, size_t place)
{
    size_t n = 0;
    for (size_t i = 0; i < w->n; i++) n += w->row[i].place == place;
    return n;
}

double es_observations_distrust(es_work *w)
{
    double largest = 0.0;
    for (size_t place = 0; place < w->n_places; place++) largest = fmax(largest, distrust_place(w, place));
    for (size_t i = 0; i < w->n; i++) largest = fmax(largest, distrust_row(w, i, count_at_place(w, w->row[i].place)));
    return largest;
}
