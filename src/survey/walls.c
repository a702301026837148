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
static const double RETAKE_DB = 0.5;  /* corrections that move further than this have their slopes taken anew */

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

static earshot_status foretell_with(es_work *w, const earshot_material_correction *c, es_foretold *foretold)
{
    earshot_site *site;
    earshot_status status = make_site(w, c, &site);
    if (!status) status = es_foretell(&w->ends, site, w->watch, foretold, w->error);
    earshot_site_free(site);
    return status;
}

/* Slope of all readings over material i of w, from the corrections c at which `now` was foretold. Upward, so that a
 * loss that may not fall below 0 still has a slope there. */
static earshot_status take_slope(es_work *w, earshot_material_correction *c, size_t i)
{
    const double before_db = c[w->material[i]].loss_db;
    c[w->material[i]].loss_db = before_db + STEP_DB;
    const earshot_status status = foretell_with(w, c, w->moved);
    c[w->material[i]].loss_db = before_db;
    for (size_t row = 0; row < w->n && !status; row++)
        w->slope[row * w->n_materials + i] = (w->moved[row].level_dbm - w->now[row].level_dbm) / STEP_DB;
    return status;
}

/* ---- which materials ---- */

static void mark_used(const earshot_site *site, bool *used)
{
    for (size_t i = 0; i < earshot_site_elements(site); i++) used[earshot_site_element(site, i).material] = true;
}

static bool is_met(const es_work *w, size_t i)
{
    for (size_t row = 0; row < w->n; row++)
        if (fabs(w->slope[row * w->n_materials + i]) >= LEAST_MET) return true;
    return false;
}

/* Keep those that some reading meets; slopes move together. */
static void drop_unmet(es_work *w)
{
    const size_t had = w->n_materials;
    size_t kept = 0;
    for (size_t i = 0; i < had; i++) {
        if (!is_met(w, i)) continue;
        w->material[kept] = w->material[i];
        for (size_t row = 0; row < w->n; row++) w->slope[row * had + kept] = w->slope[row * had + i];
        kept++;
    }
    for (size_t row = 0; row < w->n; row++)
        memmove(w->slope + row * kept, w->slope + row * had, kept * sizeof *w->slope);
    w->n_materials = kept;
}

static earshot_status take_all_slopes(es_work *w, earshot_material_correction *c)
{
    earshot_status status = EARSHOT_OK;
    for (size_t i = 0; i < w->n_materials && !status; i++) status = take_slope(w, c, i);
    return status;
}

/* Those whose loss is not certain. */
static earshot_status find_candidates(es_work *w, const earshot_site *site)
{
    bool *used = calloc(w->plan->n_materials + 1, sizeof *used);
    w->material = calloc(w->plan->n_materials + 1, sizeof *w->material);
    if (used && w->material) {
        mark_used(site, used);
        for (size_t i = 0; i < w->plan->n_materials; i++)
            if (used[i] && earshot_material_spread_db(site, i) > 0.0) w->material[w->n_materials++] = i;
    }
    const bool made = used && w->material;
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

static bool has_moved(const es_work *w)
{
    for (size_t i = 0; i < w->n_materials; i++)
        if (fabs(es_walls_correction(w, w->theta, i) - w->slope_at[i]) > RETAKE_DB) return true;
    return false;
}

earshot_status es_walls_foretell(es_work *w)
{
    earshot_material_correction *c = corrections(w, w->theta, NULL);
    if (!c) return no_memory(w);
    earshot_status status = foretell_with(w, c, w->now);
    if (!status && has_moved(w)) {
        status = take_all_slopes(w, c);
        for (size_t i = 0; i < w->n_materials; i++) w->slope_at[i] = es_walls_correction(w, w->theta, i);
    }
    free(c);
    return status;
}
