/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Materials and electrical classes: tables that can be used, and whether they reach the plan's bands. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "plan/check.h"

static void check_losses(es_checker *checker, const earshot_material *material)
{
    for (size_t i = 1; i < material->n_losses; i++) {
        const double before = material->loss[i - 1].frequency_hz, here = material->loss[i].frequency_hz;
        if (here > before) continue;
        const earshot_place place = es_element_place(checker->reader, material->place, "loss", i);
        es_hint(es_invalid(checker->reader, place,
                           here == before ? "loss states %.6g MHz twice" : "loss states %.6g MHz out of order",
                           here / 1e6),
                "frequencies rise from entry to entry");
        return;
    }
}

static void check_material(es_checker *checker, const earshot_material *material)
{
    if (!material->n_layers && !material->n_losses) {
        es_hint(es_invalid(checker->reader, es_positional_place(checker->reader, material->place, 0),
                           "material '%s' has neither layers nor a loss", material->name),
                "state layers=CLASS:THICKNESS,... or loss=MHz:dB,... or both");
    }
    check_losses(checker, material);
}

void es_check_materials(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    for (size_t i = 0; i < plan->n_materials; i++) check_material(checker, &plan->material[i]);
    for (size_t i = 0; i < plan->n_electricals; i++) {
        const earshot_electrical *e = &plan->electrical[i];
        if (!(e->from_hz >= e->to_hz)) continue;
        es_hint(es_invalid(checker->reader, es_key_place(checker->reader, e->place, "to"),
                           "the range of '%s' ends below where it begins", e->name),
                "from= is the lower frequency, to= the upper");
    }
}

/* Which materials the plan is built of, scenes included: one flag each. */
static void mark(const es_checker *checker, bool *used, const char *name)
{
    const earshot_material *material = es_material_of(checker, name);
    if (material) used[material - checker->plan->material] = true;
}

static void mark_drawn(const es_checker *checker, bool *used)
{
    const earshot_plan *plan = checker->plan;
    for (size_t i = 0; i < plan->n_walls; i++) mark(checker, used, plan->wall[i].material);
    for (size_t i = 0; i < plan->n_openings; i++) mark(checker, used, plan->opening[i].material);
    for (size_t i = 0; i < plan->n_slabs; i++) mark(checker, used, plan->slab[i].material);
    for (size_t i = 0; i < plan->n_blocks; i++) mark(checker, used, plan->block[i].material);
}

static void warn_swaps(es_checker *checker, const bool *drawn, const earshot_scene *scene)
{
    for (size_t i = 0; i < scene->n_swaps; i++) {
        const earshot_material *from = es_material_of(checker, scene->swap[i].from);
        if (from && drawn[from - checker->plan->material]) continue;
        es_hint(es_warning(&checker->reader->report, es_element_place(checker->reader, scene->place, "swap", i),
                           "scene '%s' swaps '%s', which the plan has nowhere", scene->name, scene->swap[i].from),
                "this swap changes nothing");
    }
}

static void mark_swapped(const es_checker *checker, bool *used)
{
    const earshot_plan *plan = checker->plan;
    for (size_t i = 0; i < plan->n_scenes; i++) {
        for (size_t j = 0; j < plan->scene[i].n_swaps; j++) mark(checker, used, plan->scene[i].swap[j].to);
    }
}

static void warn_reach(es_checker *checker, const earshot_material *material, double hz)
{
    const double low = material->loss[0].frequency_hz, high = material->loss[material->n_losses - 1].frequency_hz;
    const double end = hz < low ? low : high;
    if (hz >= low - ES_BAND_WIDTH_HZ && hz <= high + ES_BAND_WIDTH_HZ) return;
    es_reader *reader = checker->reader;
    const earshot_place place =
        material->builtin ? (earshot_place){ES_FILE_PLAN, 0, 0, 0} : es_key_place(reader, material->place, "loss");
    es_hint(es_warning(&reader->report, place, "the loss of '%s' is stated only %s %.6g MHz, not at %.6g MHz",
                       material->name, hz < low ? "from" : "up to", end / 1e6, hz / 1e6),
            "the value at %.6g MHz is used, %.1f octaves away", end / 1e6, fabs(log2(hz / end)));
}

static void warn_material(es_checker *checker, const earshot_material *material)
{
    const earshot_plan *plan = checker->plan;
    for (size_t i = 0; i < plan->n_bands && material->n_losses; i++) {
        warn_reach(checker, material, plan->band_hz[i]);
    }
    if (material->builtin || !isnan(material->spread_db)) return;
    es_hint(es_warning(&checker->reader->report, es_positional_place(checker->reader, material->place, 0),
                       "material '%s' states no spread", material->name),
            "3 dB is taken for how much it differs from one building to the next");
}

void es_warn_materials(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    bool *used = calloc(plan->n_materials + 1, sizeof *used);
    if (!used) {
        checker->reader->memory_out = true;
        return;
    }
    mark_drawn(checker, used);
    for (size_t i = 0; i < plan->n_scenes; i++) warn_swaps(checker, used, &plan->scene[i]);
    mark_swapped(checker, used);
    for (size_t i = 0; i < plan->n_materials; i++) {
        if (used[i]) warn_material(checker, &plan->material[i]);
    }
    free(used);
}
