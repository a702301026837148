/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the readings say of each wall: the model asked again with one material changed. It does not matter which model
 * that is. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "survey/work.h"

static const double STEP_DB = 0.5;    /* of a numeric slope: below the spread of any wall, above rounding */
static const double LEAST_MET = 0.05; /* slope from which on a reading is said to meet a material */
/* Asking the rays model takes a second for a house: it is asked again when a correction has moved this far, and its
 * slopes are taken anew when one has moved that far. */
static const double ASK_DB = 0.05, RETAKE_DB = 1.0;

static earshot_status no_memory(const es_work *w)
{
    return es_fail(w->error, EARSHOT_MEMORY, NULL, "out of memory");
}

double es_walls_correction(const es_work *w, const double *theta, size_t i)
{
    return fmax(theta[w->first_material + i], -w->stated_db[i]);
}

static earshot_status make_site(const es_work *w, const earshot_material_correction *correction, earshot_site **site)
{
    return earshot_site_new_corrected(w->plan, w->ends.scene, correction, site, w->error);
}

/* All materials as they are; NULL when memory is out. */
static earshot_material_correction *no_corrections(const es_work *w)
{
    earshot_material_correction *c = calloc(w->plan->n_materials + 1, sizeof *c);
    for (size_t i = 0; c && i < w->plan->n_materials; i++) c[i].spread_db = NAN;
    return c;
}

static earshot_material_correction *corrections(const es_work *w, const double *theta, const double *sigma)
{
    earshot_material_correction *c = no_corrections(w);
    for (size_t i = 0; c && i < w->n_materials; i++)
        c[w->material[i]] = (earshot_material_correction){es_walls_correction(w, theta, i), sigma ? sigma[i] : NAN};
    return c;
}

earshot_status es_walls_site(const es_work *w, const double *theta, const double *sigma, earshot_site **site)
{
    earshot_material_correction *c = corrections(w, theta, sigma);
    *site = NULL;
    const earshot_status status = c ? make_site(w, c, site) : no_memory(w);
    free(c);
    return status;
}

static earshot_status foretell_with(es_work *w, const earshot_material_correction *c, earshot_detail detail,
                                    es_foretold *foretold)
{
    earshot_site *site;
    earshot_status status = make_site(w, c, &site);
    if (!status) status = es_foretell(&w->ends, site, detail, w->watch, foretold, w->error);
    earshot_site_free(site);
    return status;
}

/* Slope of all readings over material i of w, from the corrections c at which `base` was foretold. Upward, so that a
 * loss that may not fall below 0 still has a slope there. */
static earshot_status take_slope(es_work *w, earshot_material_correction *c, size_t i)
{
    const double before_db = c[w->material[i]].loss_db;
    c[w->material[i]].loss_db = before_db + STEP_DB;
    const earshot_status status = foretell_with(w, c, EARSHOT_DETAIL_MAP, w->moved);
    c[w->material[i]].loss_db = before_db;
    for (size_t row = 0; row < w->n && !status; row++)
        w->slope[row * w->n_materials + i] = (w->moved[row].level_dbm - w->base[row].level_dbm) / STEP_DB;
    return status;
}

/* ---- which materials ---- */

static void mark_used(const earshot_site *site, bool *used)
{
    for (size_t i = 0; i < earshot_site_elements(site); i++) used[earshot_site_element(site, i).material] = true;
}

static size_t count_meetings(const es_work *w, size_t i)
{
    size_t n = 0;
    for (size_t row = 0; row < w->n; row++) n += fabs(w->slope[row * w->n_materials + i]) >= LEAST_MET;
    return n;
}

/* Keep those that some reading meets; slopes move together. */
static void drop_unmet(es_work *w)
{
    const size_t had = w->n_materials;
    size_t kept = 0;
    for (size_t i = 0; i < had; i++) {
        const size_t met = count_meetings(w, i);
        if (!met) continue;
        w->material[kept] = w->material[i];
        w->met[kept] = met;
        for (size_t row = 0; row < w->n; row++) w->slope[row * had + kept] = w->slope[row * had + i];
        kept++;
    }
    for (size_t row = 0; row < w->n; row++)
        memmove(w->slope + row * kept, w->slope + row * had, kept * sizeof *w->slope);
    w->n_materials = kept;
}

/* Slopes need fewer paths than levels do: the coarser detail, for both ends of the step. */
static earshot_status take_all_slopes(es_work *w, earshot_material_correction *c)
{
    earshot_status status = foretell_with(w, c, EARSHOT_DETAIL_MAP, w->base);
    for (size_t i = 0; i < w->n_materials && !status; i++) status = take_slope(w, c, i);
    return status;
}

/* Those whose loss is not certain. */
static earshot_status find_candidates(es_work *w, const earshot_site *site)
{
    bool *used = calloc(w->plan->n_materials + 1, sizeof *used);
    w->material = calloc(w->plan->n_materials + 1, sizeof *w->material);
    w->met = calloc(w->plan->n_materials + 1, sizeof *w->met);
    if (used && w->material && w->met) {
        mark_used(site, used);
        for (size_t i = 0; i < w->plan->n_materials; i++)
            if (used[i] && earshot_material_spread_db(site, i) > 0.0) w->material[w->n_materials++] = i;
    }
    const bool made = used && w->material && w->met;
    free(used);
    return made ? EARSHOT_OK : no_memory(w);
}

earshot_status es_walls_find(es_work *w, const earshot_site *before)
{
    earshot_status status = find_candidates(w, before);
    if (status) return status;
    earshot_material_correction *c = no_corrections(w);
    w->slope = calloc(w->n * w->n_materials + 1, sizeof *w->slope);
    if (!c || !w->slope) status = no_memory(w);
    if (!status) status = take_all_slopes(w, c);
    free(c);
    if (!status) drop_unmet(w);
    return status;
}

/* ---- again and again ---- */

static double moved_since(const es_work *w, const double *at)
{
    double largest = 0.0;
    for (size_t i = 0; i < w->n_materials; i++)
        largest = fmax(largest, fabs(es_walls_correction(w, w->theta, i) - at[i]));
    return largest;
}

static void remember(const es_work *w, double *at)
{
    for (size_t i = 0; i < w->n_materials; i++) at[i] = es_walls_correction(w, w->theta, i);
}

void es_walls_remember(es_work *w)
{
    for (size_t row = 0; row < w->n; row++) w->model_dbm[row] = w->now[row].level_dbm;
    remember(w, w->model_at);
}

static void follow_tangent(es_work *w)
{
    for (size_t row = 0; row < w->n; row++) {
        double level_dbm = w->model_dbm[row];
        for (size_t i = 0; i < w->n_materials; i++)
            level_dbm += w->slope[row * w->n_materials + i] * (es_walls_correction(w, w->theta, i) - w->model_at[i]);
        w->now[row].level_dbm = level_dbm;
    }
}

static earshot_status ask_model(es_work *w)
{
    earshot_material_correction *c = corrections(w, w->theta, NULL);
    if (!c) return no_memory(w);
    earshot_status status = foretell_with(w, c, EARSHOT_DETAIL_LINK, w->now);
    if (!status) es_walls_remember(w);
    if (!status && moved_since(w, w->slope_at) > RETAKE_DB) {
        status = take_all_slopes(w, c);
        remember(w, w->slope_at);
    }
    free(c);
    return status;
}

earshot_status es_walls_foretell(es_work *w, bool exact)
{
    if (exact || moved_since(w, w->model_at) > ASK_DB) return ask_model(w);
    follow_tangent(w);
    return EARSHOT_OK;
}
