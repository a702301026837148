/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The estimate, round by round: foretell, linearise, solve, distrust, until nothing moves. docs/model/calibrate.md */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "survey/posterior.h"
#include "survey/result.h"

/* Radio figures, panel and mounting of one site are wrong together by some 3 dB: our judgement, no source. */
static const double USUAL_TOLERANCE_DB = 3.0;
/* What is known of the ends of a panel's scale before it is fitted: next to nothing. */
static const double SCALE_DOUBT_DB = 30.0;

static const double SETTLED_DB = 0.005, SETTLED_TRUST = 0.005;
static const double LONGEST_STRIDE_DB = 10.0; /* of a level that is only known by bounds */
enum {
    MOST_ROUNDS = 60,
    LEARNING_ROUNDS = 8, /* what is left is estimated in the first of them, so that the others can settle */
    CALM_ROUNDS = 12,    /* from here on half steps: two answers may otherwise take turns */
    ENOUGH_PLACES = 8    /* to say anything of what is left */
};

earshot_calibrate_options earshot_calibrate_defaults(void)
{
    return (earshot_calibrate_options){.model = EARSHOT_MODEL_DIRECT,
                                       .tolerance_db = USUAL_TOLERANCE_DB,
                                       .noise_db = NAN,
                                       .scale_low_dbm = NAN,
                                       .scale_high_dbm = NAN};
}

/* ---- setting up ---- */

static earshot_status no_memory(const es_work *w)
{
    return es_fail(w->error, EARSHOT_MEMORY, NULL, "out of memory");
}

static bool reads_scale(const earshot_readings *readings)
{
    for (size_t i = 0; i < readings->n; i++)
        if (readings->reading[i].unit == EARSHOT_LEVEL_SCALE) return true;
    return false;
}

static bool allocate_predictions(es_work *w)
{
    w->before = calloc(4 * w->n + 1, sizeof *w->before);
    w->row = calloc(w->n + 1, sizeof *w->row);
    w->left = calloc(w->n + 1, sizeof *w->left);
    if (!w->before || !w->row || !w->left) return false;
    w->now = w->before + w->n;
    w->base = w->now + w->n;
    w->moved = w->base + w->n;
    return true;
}

static bool allocate_parameters(es_work *w)
{
    const size_t n = w->n, p = w->p, m = w->n_materials;
    w->block = calloc(3 * p + 3 * m + n * p + 7 * n + 1, sizeof *w->block);
    if (!w->block) return false;
    w->theta = w->block;
    w->prior_mean = w->theta + p;
    w->prior_sigma = w->prior_mean + p;
    w->slope_at = w->prior_sigma + p;
    w->model_at = w->slope_at + m;
    w->stated_db = w->model_at + m;
    w->x = w->stated_db + m;
    w->place_variance = w->x + n * p;
    w->noise_variance = w->place_variance + n;
    w->place_trust = w->noise_variance + n;
    w->noise_trust = w->place_trust + n;
    w->latent_dbm = w->noise_trust + n;
    w->value_dbm = w->latent_dbm + n;
    w->model_dbm = w->value_dbm + n;
    return true;
}

static void fill_priors(es_work *w, const earshot_site *before)
{
    const double frequency_hz = w->readings->reading[0].frequency_hz;
    w->prior_sigma[ES_OFFSET] = w->options->tolerance_db;
    if (w->scale_fitted) w->prior_sigma[ES_SCALE_LOW] = w->prior_sigma[ES_SCALE_HIGH] = SCALE_DOUBT_DB;
    for (size_t i = 0; i < w->n_materials; i++) {
        const double spread_db = earshot_material_spread_db(before, w->material[i]);
        w->prior_sigma[w->first_material + i] = w->options->flat ? INFINITY : spread_db;
        w->stated_db[i] = earshot_material_loss_db(before, w->material[i], frequency_hz, NULL);
    }
}

static earshot_status set_up(es_work *w, const earshot_site *before)
{
    if (!allocate_predictions(w)) return no_memory(w);
    earshot_status status = es_ends_find(before, w->readings, w->options, &w->ends, w->error);
    if (!status) status = es_foretell(&w->ends, before, EARSHOT_DETAIL_LINK, w->watch, w->before, w->error);
    if (status) return status;
    memcpy(w->now, w->before, w->n * sizeof *w->now);
    status = es_walls_find(w, before);
    if (status) return status;
    const bool stated = isfinite(w->options->scale_low_dbm) && isfinite(w->options->scale_high_dbm);
    w->scale_fitted = reads_scale(w->readings) && !stated;
    w->first_material = w->scale_fitted ? ES_SCALE_HIGH + 1 : ES_OFFSET + 1;
    w->p = w->first_material + w->n_materials;
    if (!allocate_parameters(w)) return no_memory(w);
    fill_priors(w, before);
    es_observations_start(w);
    es_walls_remember(w);
    for (size_t j = 0; j < w->p; j++) w->prior_mean[j] = w->theta[j];
    w->hyper = es_hyper_prior();
    return EARSHOT_OK;
}

/* ---- rounds ---- */

static bool has_enough(const es_work *w)
{
    const size_t free_parameters = w->options->flat ? w->p : 0;
    return w->n_places >= ENOUGH_PLACES + free_parameters;
}

static earshot_status learn(es_work *w, size_t round)
{
    if (round > LEARNING_ROUNDS || !has_enough(w)) return EARSHOT_OK;
    w->hyper_estimated = true;
    return es_hyper_estimate(w->row, w->x, w->n, w->p, w->prior_mean, w->prior_sigma, &w->hyper);
}

static double take_parameters(es_work *w, double share)
{
    double largest = 0.0;
    for (size_t j = 0; j < w->p; j++) {
        const double step = share * (w->solution.theta[j] - w->theta[j]);
        largest = fmax(largest, fabs(step));
        w->theta[j] += step;
    }
    return largest;
}

/* Where a bound's level is thought to be: its stand-in value less the noise that the solution gives it. */
static double take_levels(es_work *w)
{
    double largest = 0.0;
    for (size_t i = 0; i < w->n; i++) {
        if (!es_is_bound(w, i)) continue;
        const double to = w->value_dbm[i] - w->row[i].variance * w->solution.alpha[i];
        const double stride = fmin(fmax(to - w->latent_dbm[i], -LONGEST_STRIDE_DB), LONGEST_STRIDE_DB);
        largest = fmax(largest, fabs(stride));
        w->latent_dbm[i] += stride;
    }
    return largest;
}

static earshot_status run_round(es_work *w, size_t round, bool *settled)
{
    earshot_status status = round > 1 ? es_walls_foretell(w, false) : EARSHOT_OK;
    if (status) return status;
    es_observations_fill(w);
    status = learn(w, round);
    if (status) return es_fail(w->error, status, NULL, "%s", earshot_status_text(status));
    es_solution_clear(&w->solution);
    status = es_solve(w->row, w->x, w->n, w->p, w->prior_mean, w->prior_sigma, w->hyper, &w->solution);
    if (!status) status = es_leave_out(&w->solution, w->row, w->place_variance, w->left);
    if (status) return es_fail(w->error, status, NULL, "%s", earshot_status_text(status));
    const double levels = take_levels(w);
    const double parameters = take_parameters(w, round > CALM_ROUNDS ? 0.5 : 1.0);
    const double trust = es_observations_distrust(w);
    *settled = round > 1 && (round > LEARNING_ROUNDS || !has_enough(w)) && levels < SETTLED_DB &&
               parameters < SETTLED_DB && trust < SETTLED_TRUST;
    return EARSHOT_OK;
}

static earshot_status estimate(es_work *w, earshot_calibration *c)
{
    while (c->rounds < MOST_ROUNDS && !c->settled) {
        const earshot_status status = run_round(w, ++c->rounds, &c->settled);
        if (status) return status;
    }
    return es_walls_foretell(w, true);
}

/* ---- the whole ---- */

static void clear_work(es_work *w)
{
    es_ends_clear(&w->ends);
    es_solution_clear(&w->solution);
    free(w->material);
    free(w->met);
    free(w->slope);
    free(w->before);
    free(w->row);
    free(w->left);
    free(w->block);
}

static earshot_status check_arguments(const earshot_readings *readings, const earshot_calibrate_options *o,
                                      earshot_error *error)
{
    if (!readings->n)
        return es_fail(error, EARSHOT_READINGS, "the readings need at least one row", "there is nothing to learn from");
    if (!(o->tolerance_db > 0.0) || (!isnan(o->noise_db) && !(o->noise_db > 0.0 && isfinite(o->noise_db))))
        return es_fail(error, EARSHOT_ARGUMENT, NULL, "a tolerance or noise is not above 0");
    if (isnan(o->scale_low_dbm) != isnan(o->scale_high_dbm) || o->scale_low_dbm >= o->scale_high_dbm)
        return es_fail(error, EARSHOT_ARGUMENT, NULL, "a scale needs two levels, the lower one first");
    return EARSHOT_OK;
}

static earshot_status run(earshot_calibration *c, const char *scene, const earshot_watch *watch, earshot_error *error)
{
    earshot_status status = earshot_site_new(c->plan, scene, &c->before, error);
    if (status) return status;
    es_work w = {.plan = c->plan,
                 .readings = c->readings,
                 .options = &c->options,
                 .watch = watch,
                 .error = error,
                 .n = c->readings->n};
    status = set_up(&w, c->before);
    if (!status) status = estimate(&w, c);
    if (!status) status = es_result_fill(&w, c);
    clear_work(&w);
    return status;
}

earshot_status earshot_calibrate(const earshot_plan *plan, const char *scene, const earshot_readings *readings,
                                 const earshot_calibrate_options *options, const earshot_watch *watch,
                                 earshot_calibration **calibration, earshot_error *error)
{
    if (!calibration) return es_fail(error, EARSHOT_ARGUMENT, NULL, "no place for the calibration");
    *calibration = NULL;
    if (!plan || !readings || !options) return es_fail(error, EARSHOT_ARGUMENT, NULL, "no plan, readings or options");
    earshot_status status = check_arguments(readings, options, error);
    if (status) return status;
    earshot_calibration *c = calloc(1, sizeof *c);
    if (!c) return es_fail(error, EARSHOT_MEMORY, NULL, "out of memory");
    c->plan = plan;
    c->readings = readings;
    c->options = *options;
    status = run(c, scene, watch, error);
    if (status)
        earshot_calibration_free(c);
    else
        *calibration = c;
    return status;
}

void earshot_calibration_free(earshot_calibration *calibration)
{
    if (!calibration) return;
    earshot_site_free(calibration->after);
    earshot_site_free(calibration->before);
    es_posterior_free(calibration->posterior);
    free(calibration->reading);
    free(calibration->material);
    free(calibration->correlation);
    free(calibration->group);
    free(calibration);
}
