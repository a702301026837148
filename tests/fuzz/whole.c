/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz/whole.h"

#include <math.h>
#include <string.h>

#include "fuzz/fuzz.h"

enum { CELLS = 8, EXPLAINED = 3, RAYS_MAPPED = 2 };

static const earshot_look LOOK = {.colour = true, .width = 97};

/* ---- what must hold ---- */

static void check_text(earshot_text *text)
{
    MUST_HOLD(!text->failed);
    MUST_HOLD(text->size == 0 || strlen(text->data) == text->size);
    earshot_text_clear(text);
}

static void check_link(const earshot_link *link)
{
    MUST_HOLD(isfinite(link->loss.loss_db) && isfinite(link->margin_db) && isfinite(link->dependable_db));
    MUST_HOLD(link->allowance_db >= 0.0 && link->uncertainty_db >= 0.0);
    MUST_HOLD(link->out.used || link->back.used);
}

static void check_decisions(const earshot_check *check)
{
    MUST_HOLD(check->n_direct + check->n_repeater + check->n_wire == check->n_devices);
    for (size_t i = 0; i < check->n_devices; i++) {
        const earshot_decision *d = &check->device[i];
        check_link(&d->link);
        MUST_HOLD((d->mount != EARSHOT_NONE) == (d->verdict == EARSHOT_VERDICT_REPEATER));
        if (d->mount != EARSHOT_NONE) check_link(&d->to_mount);
    }
}

/* ---- telling ---- */

static void tell(const earshot_check *check)
{
    earshot_text words = {0}, csv = {0}, json = {0};
    earshot_present_check(check, &LOOK, &words);
    for (size_t i = 0; i < check->n_devices && i < EXPLAINED; i++)
        MUST_HOLD(earshot_present_explanation(check, i, &LOOK, &words) == EARSHOT_OK);
    earshot_present_cautions(earshot_site_plan(check->site), &LOOK, &words);
    earshot_csv_check(check, 1, &csv);
    MUST_HOLD(earshot_json_check(check, 1, &json) == EARSHOT_OK);
    check_text(&words);
    check_text(&csv);
    check_text(&json);
}

static void draw_map(const earshot_check *check, unsigned storey)
{
    const earshot_plan *plan = earshot_site_plan(check->site);
    earshot_point low, high;
    earshot_station from;
    earshot_grid grid;
    earshot_text text = {0};
    if (!earshot_storey_extent(check->site, storey, &low, &high)) return;
    if (earshot_receiver_station(check->site, check->receiver, check->frequency_hz, &from) != EARSHOT_OK) return;
    const earshot_grid_request request = {.storey = storey,
                                          .cell_x_m = fmax(0.01, (high.x_m - low.x_m) / CELLS),
                                          .cell_y_m = fmax(0.01, (high.y_m - low.y_m) / CELLS),
                                          .height_m = 1.5,
                                          .radio = from.radio};
    if (earshot_grid_fill(check->site, check->model, check->frequency_hz, check->need, &from, &request, NULL, &grid))
        return; /* a storey wider than a map may be, or a receiver that cannot send to its like */
    const earshot_map_view view = {.grid = &grid,
                                   .from = from.at,
                                   .from_name = plan->receiver[check->receiver].name,
                                   .radio = from.radio,
                                   .frequency_hz = check->frequency_hz,
                                   .model = check->model,
                                   .check = check};
    for (size_t i = 0; i < grid.rows * grid.columns; i++) MUST_HOLD(isfinite(grid.dependable_db[i]));
    earshot_present_map(check->site, &view, &LOOK, &text);
    check_text(&text);
    earshot_grid_clear(&grid);
}

/* ---- judging ---- */

static void judge_band(const earshot_site *site, earshot_model model, double frequency_hz)
{
    earshot_check check;
    earshot_error error = {0};
    const earshot_status status = earshot_check_run(site, model, frequency_hz, 0, NULL, &check, &error);
    MUST_HOLD(status != EARSHOT_MEMORY && status != EARSHOT_INTERNAL);
    if (status != EARSHOT_OK) {
        MUST_HOLD(error.message[0] != '\0' && check.device == NULL);
        return;
    }
    check_decisions(&check);
    tell(&check);
    if (model != EARSHOT_MODEL_RAYS || check.n_devices <= RAYS_MAPPED)
        draw_map(&check, earshot_site_plan(site)->receiver[0].storey);
    earshot_check_clear(&check);
}

static void judge_scene(const earshot_plan *plan, const char *scene, earshot_model model, size_t n_bands)
{
    earshot_site *site;
    earshot_error error = {0};
    const earshot_status status = earshot_site_new(plan, scene, &site, &error);
    MUST_HOLD(status == EARSHOT_OK || status == EARSHOT_PLAN_LIMIT);
    if (status != EARSHOT_OK) return;
    for (size_t i = 0; i < n_bands; i++) judge_band(site, model, plan->band_hz[i]);
    earshot_site_free(site);
}

void judge_whole_plan(const earshot_plan *plan, earshot_model model)
{
    if (plan->n_receivers == 0) return;
    if (model == EARSHOT_MODEL_RAYS) { /* it takes long */
        judge_scene(plan, NULL, model, 1);
        return;
    }
    judge_scene(plan, NULL, model, plan->n_bands);
    for (size_t i = 0; i < plan->n_scenes; i++) judge_scene(plan, plan->scene[i].name, model, plan->n_bands);
}
