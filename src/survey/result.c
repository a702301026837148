/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the work to the results. */
#include "survey/result.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "site/site.h"
#include "survey/matrix.h"
#include "survey/posterior.h"
#include "survey/separate.h"

static const double WILD_BELOW = 0.5; /* trust under which a reading is flagged */
static const double ONE_RATIO = 0.99; /* cosine of two columns that are in one ratio */
static const double BARELY_MET = 0.3; /* slope below which a material is not asked what it is told from */

static earshot_status no_memory(const es_work *w)
{
    return es_fail(w->error, EARSHOT_MEMORY, NULL, "out of memory");
}

/* ---- readings ---- */

/* How far a level misses a bound: 0 when it keeps it. */
static double missed_db(const earshot_reading *r, double level_dbm, double bound_dbm)
{
    const double above_db = level_dbm - bound_dbm;
    return r->heard ? fmax(0.0, -above_db) : fmin(0.0, -above_db);
}

static earshot_reading_flag flag_of(const earshot_reading_fit *fit)
{
    if (fit->trust >= WILD_BELOW) return EARSHOT_READING_FITS;
    return fit->left_out_db < 0.0 ? EARSHOT_READING_WEAKER : EARSHOT_READING_STRONGER;
}

static void fill_reading(const es_work *w, size_t i, earshot_reading_fit *fit)
{
    const earshot_reading *r = &w->readings->reading[i];
    const bool bound = es_is_bound(w, i);
    *fit = (earshot_reading_fit){.measured_dbm = es_measured_dbm(w, i),
                                 .bound_dbm = bound ? es_needed_dbm(w, i) : NAN,
                                 .threshold_dbm = w->now[i].threshold_dbm,
                                 .predicted_dbm = w->before[i].level_dbm,
                                 .fitted_dbm = w->now[i].level_dbm + w->theta[ES_OFFSET],
                                 .left_out_sigma_db = w->left[i].sigma_db,
                                 .trust = fmin(w->place_trust[i], w->noise_trust[i])};
    if (bound) {
        /* The level foretold by the others: that of the stand-in less its residual. */
        const double others_dbm = w->value_dbm[i] - w->left[i].residual_db;
        fit->residual_db = missed_db(r, fit->predicted_dbm, fit->bound_dbm);
        fit->after_db = missed_db(r, fit->fitted_dbm, fit->bound_dbm);
        fit->left_out_db = missed_db(r, others_dbm, fit->bound_dbm);
    } else {
        fit->residual_db = fit->measured_dbm - fit->predicted_dbm;
        fit->after_db = fit->measured_dbm - fit->fitted_dbm;
        fit->left_out_db = isinf(w->left[i].sigma_db) ? NAN : w->left[i].residual_db;
    }
    fit->flag = flag_of(fit);
}

static double rms(const es_work *w, const earshot_reading_fit *fit, size_t offset)
{
    double squares = 0.0, n = 0.0;
    for (size_t i = 0; i < w->n; i++) {
        if (es_is_bound(w, i) || fit[i].flag != EARSHOT_READING_FITS) continue;
        const double value = *(const double *)(const void *)((const char *)&fit[i] + offset);
        if (isnan(value)) return NAN;
        squares += value * value;
        n += 1.0;
    }
    return n > 0.0 ? sqrt(squares / n) : NAN;
}

static earshot_status fill_readings(const es_work *w, earshot_calibration *c)
{
    c->reading = calloc(w->n + 1, sizeof *c->reading);
    if (!c->reading) return no_memory(w);
    for (size_t i = 0; i < w->n; i++) fill_reading(w, i, &c->reading[i]);
    c->rms_before_db = rms(w, c->reading, offsetof(earshot_reading_fit, residual_db));
    c->rms_after_db = rms(w, c->reading, offsetof(earshot_reading_fit, after_db));
    c->rms_left_out_db = rms(w, c->reading, offsetof(earshot_reading_fit, left_out_db));
    return EARSHOT_OK;
}

/* ---- materials ---- */

/* How often a reading that meets a material passes it, on average. */
static double passages(const es_work *w, size_t i)
{
    double weight = 0.0;
    for (size_t row = 0; row < w->n; row++) weight += fabs(w->slope[row * w->n_materials + i]);
    return weight / (double)w->met[i];
}

static double largest_slope(const es_work *w, size_t i)
{
    double largest = 0.0;
    for (size_t row = 0; row < w->n; row++) largest = fmax(largest, fabs(w->slope[row * w->n_materials + i]));
    return largest;
}

static double covariance(const es_work *w, size_t i, size_t j)
{
    return w->solution.covariance[(w->first_material + i) * w->p + w->first_material + j];
}

static void fill_material(const es_work *w, size_t i, earshot_material_fit *fit)
{
    const double correction_db = es_walls_correction(w, w->theta, i);
    *fit = (earshot_material_fit){.material = w->material[i],
                                  .correction_db = correction_db,
                                  .before_db = w->stated_db[i],
                                  .before_sigma_db = w->prior_sigma[w->first_material + i],
                                  .after_db = w->stated_db[i] + correction_db,
                                  .after_sigma_db = sqrt(covariance(w, i, i)),
                                  .readings = w->met[i],
                                  .unit = passages(w, i),
                                  .group = EARSHOT_NONE};
}

static earshot_status fill_materials(const es_work *w, earshot_calibration *c)
{
    const size_t m = w->n_materials;
    c->material = calloc(m + 1, sizeof *c->material);
    c->correlation = calloc(m * m + 1, sizeof *c->correlation);
    if (!c->material || !c->correlation) return no_memory(w);
    c->n_materials = m;
    for (size_t i = 0; i < m; i++) fill_material(w, i, &c->material[i]);
    for (size_t i = 0; i < m; i++)
        for (size_t j = 0; j < m; j++)
            c->correlation[i * m + j] =
                covariance(w, i, j) / (c->material[i].after_sigma_db * c->material[j].after_sigma_db);
    return EARSHOT_OK;
}

/* ---- what cannot be told apart ---- */

/* The first column of the table is the offset, then the materials as in w. */
static void fill_columns(const es_work *w, double *column)
{
    const size_t width = w->n_materials + 1;
    for (size_t row = 0; row < w->n; row++) {
        column[row * width] = 1.0;
        for (size_t i = 0; i < w->n_materials; i++)
            column[row * width + 1 + i] = largest_slope(w, i) < BARELY_MET ? 0.0 : w->slope[row * w->n_materials + i];
    }
}

/* The losses together, if all occur in one ratio: as often as they do while the first occurs once. */
static void add_up(const es_work *w, const double *column, const size_t *group, size_t number,
                   earshot_material_group *g, double *ratio)
{
    const size_t width = w->n_materials + 1;
    size_t first = 1;
    while (group[first] != number) first++;
    double sum = 0.0, variance = 0.0;
    for (size_t i = 0; i < w->n_materials; i++) {
        ratio[i] = 0.0;
        if (group[i + 1] != number) continue;
        if (es_column_cosine(column, w->n, width, first, i + 1) < ONE_RATIO) return;
        ratio[i] = es_column_length(column, w->n, width, i + 1) / es_column_length(column, w->n, width, first);
        sum += ratio[i] * (w->stated_db[i] + es_walls_correction(w, w->theta, i));
    }
    for (size_t i = 0; i < w->n_materials; i++)
        for (size_t j = 0; j < w->n_materials; j++) variance += ratio[i] * ratio[j] * covariance(w, i, j);
    g->together_db = sum;
    g->together_sigma_db = sqrt(fmax(0.0, variance));
}

static void describe_groups(const es_work *w, const double *column, const size_t *group, double *ratio,
                            earshot_calibration *c)
{
    for (size_t i = 0; i < w->n_materials; i++) {
        if (group[i + 1] == SIZE_MAX) continue;
        c->material[i].group = (long)group[i + 1];
        c->group[group[i + 1]].n++;
    }
    for (size_t g = 0; g < c->n_groups; g++) {
        c->group[g].with_offset = group[0] == g;
        c->group[g].together_db = c->group[g].together_sigma_db = NAN;
        if (!c->group[g].with_offset) add_up(w, column, group, g, &c->group[g], ratio);
    }
}

static earshot_status fill_groups(const es_work *w, earshot_calibration *c)
{
    const size_t width = w->n_materials + 1;
    double *column = calloc(w->n * width + width, sizeof *column);
    size_t *group = calloc(width, sizeof *group);
    earshot_status status = column && group ? EARSHOT_OK : EARSHOT_MEMORY;
    if (!status) {
        fill_columns(w, column);
        status = es_separate(column, w->n, width, group, &c->n_groups);
    }
    if (!status) c->group = calloc(c->n_groups + 1, sizeof *c->group);
    if (!status && c->group) describe_groups(w, column, group, column + w->n * width, c);
    free(column);
    free(group);
    return status || !c->group ? no_memory(w) : EARSHOT_OK;
}

/* ---- offset, scale, what is left ---- */

static void fill_scale(const es_work *w, earshot_calibration *c)
{
    double share = 0.0, n = 0.0;
    for (size_t i = 0; i < w->n; i++) {
        if (w->readings->reading[i].unit != EARSHOT_LEVEL_SCALE) continue;
        share += w->readings->reading[i].level / 100.0;
        n += 1.0;
    }
    c->scale_used = n > 0.0;
    c->scale_fitted = w->scale_fitted;
    c->scale_low_dbm = w->scale_fitted ? w->theta[ES_SCALE_LOW] : w->options->scale_low_dbm;
    c->scale_high_dbm = w->scale_fitted ? w->theta[ES_SCALE_HIGH] : w->options->scale_high_dbm;
    if (!w->scale_fitted) return;
    share /= n;
    const double *v = w->solution.covariance, low = 1.0 - share;
    const size_t p = w->p;
    const double variance = low * low * v[ES_SCALE_LOW * p + ES_SCALE_LOW] +
                            2.0 * low * share * v[ES_SCALE_LOW * p + ES_SCALE_HIGH] +
                            share * share * v[ES_SCALE_HIGH * p + ES_SCALE_HIGH];
    c->scale_sigma_db = sqrt(fmax(0.0, variance));
}

static void fill_rest(const es_work *w, earshot_calibration *c)
{
    double squares = 0.0;
    for (size_t i = 0; i < w->n; i++) squares += w->row[i].link.sigma_db * w->row[i].link.sigma_db;
    c->offset_db = w->theta[ES_OFFSET];
    c->offset_sigma_db = sqrt(w->solution.covariance[ES_OFFSET * w->p + ES_OFFSET]);
    c->noise_db = w->noise_db;
    c->noise_estimated = w->noise_estimated;
    c->n_places = w->n_places;
    c->model_share = w->hyper.share;
    c->length_m = w->hyper.length_m;
    c->left_sigma_db = w->hyper.share * sqrt(squares / (double)w->n);
    c->left_estimated = w->hyper_estimated;
    fill_scale(w, c);
}

/* ---- the posterior ---- */

static void fill_unmet(const es_work *w, const earshot_calibration *c, double *unmet_db)
{
    for (size_t m = 0; m < w->plan->n_materials; m++) unmet_db[m] = earshot_material_spread_db(c->before, m);
    for (size_t i = 0; i < w->n_materials; i++) unmet_db[w->material[i]] = 0.0;
}

static earshot_status make_posterior(es_work *w, earshot_calibration *c)
{
    es_posterior *p = calloc(1, sizeof *p);
    if (!p) return no_memory(w);
    c->posterior = p;
    *p = (es_posterior){.structure = &c->after->structure,
                        .n = w->n,
                        .p = w->p,
                        .first_material = w->first_material,
                        .hyper = w->hyper,
                        .n_materials = w->n_materials};
    p->unmet_db = calloc(w->plan->n_materials + 1, sizeof *p->unmet_db);
    if (!p->unmet_db) return no_memory(w);
    fill_unmet(w, c, p->unmet_db);
    p->row = w->row;
    p->material = w->material;
    p->solution = w->solution;
    w->row = NULL;
    w->material = NULL;
    w->solution = (es_solution){0};
    earshot_site_adjust(c->after, es_posterior_adjust, p);
    return EARSHOT_OK;
}

static earshot_status make_site(const es_work *w, earshot_calibration *c)
{
    double *sigma = calloc(w->n_materials + 1, sizeof *sigma);
    if (!sigma) return no_memory(w);
    for (size_t i = 0; i < w->n_materials; i++) sigma[i] = c->material[i].after_sigma_db;
    const earshot_status status = es_walls_site(w, w->theta, sigma, &c->after);
    free(sigma);
    return status;
}

earshot_status es_result_fill(es_work *w, earshot_calibration *c)
{
    fill_rest(w, c);
    earshot_status status = fill_readings(w, c);
    if (!status) status = fill_materials(w, c);
    if (!status) status = fill_groups(w, c);
    if (!status) status = make_site(w, c);
    if (!status) status = make_posterior(w, c);
    return status;
}
