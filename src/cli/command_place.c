/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "cli/session.h"

static const double SPACING_M = 1.0, HEIGHT_M = 2.0; /* of places along walls */
enum { DEFAULT_BEST = 3 };

static bool is_stdout(const char *path)
{
    return path && strcmp(path, "-") == 0;
}

/* ---- placing ---- */

static cli_exit place_band(const cli_session *s, const bool *storey, double band_hz, earshot_placement *placement)
{
    const cli_options *o = s->options;
    earshot_error error = {0};
    cli_progress progress;
    cli_progress_start(&progress, "placing");
    const earshot_place_request request = {.site = (const earshot_site *const *)s->site,
                                           .n_sites = s->n_scenes,
                                           .model = o->model,
                                           .frequency_hz = band_hz,
                                           .receiver = o->receiver ? (long)s->receiver : EARSHOT_NONE,
                                           .anywhere = o->anywhere,
                                           .storey = storey,
                                           .spacing_m = isnan(o->spacing_m) ? SPACING_M : o->spacing_m,
                                           .height_m = isnan(o->height_m) ? HEIGHT_M : o->height_m,
                                           .best = o->best ? o->best : DEFAULT_BEST,
                                           .seconds = isnan(o->seconds) ? INFINITY : o->seconds,
                                           .watch = &progress.watch};
    const earshot_status status = earshot_place_run(&request, placement, &error);
    cli_progress_end(&progress);
    if (!status) return CLI_OK;
    cli_report_error(&error, false);
    const bool plan_fault = status == EARSHOT_NO_SUCH_NAME || status == EARSHOT_ARGUMENT;
    if (status == EARSHOT_PLAN_LIMIT || status == EARSHOT_NOT_BUILT_IN) return CLI_USAGE;
    return plan_fault && o->n_bands == 0 ? CLI_BAD_PLAN : cli_exit_of(status);
}

static cli_exit choose_storeys(const cli_session *s, bool **storey)
{
    unsigned one;
    *storey = NULL;
    if (!s->options->storey) return CLI_OK;
    const cli_exit found = cli_find_storey(s, s->options->storey, &one);
    if (found != CLI_OK) return found;
    *storey = calloc(s->plan->n_storeys, sizeof **storey);
    if (!*storey) {
        cli_complain(NULL, "out of memory");
        return CLI_BAD_FAULT;
    }
    (*storey)[one] = true;
    return CLI_OK;
}

static cli_exit place_all(const cli_session *s, earshot_placement *placement, size_t *n)
{
    bool *storey;
    cli_exit status = choose_storeys(s, &storey);
    for (; status == CLI_OK && *n < s->n_bands; ++*n) {
        status = place_band(s, storey, s->band_hz[*n], &placement[*n]);
        if (status != CLI_OK) break;
    }
    free(storey);
    return status;
}

/* ---- writing ---- */

static void add_words(const cli_session *s, const earshot_placement *placement, size_t n, earshot_text *text)
{
    const earshot_look look = cli_look();
    for (size_t i = 0; i < n; i++) earshot_present_placement(&placement[i], &look, text);
    if (n > 1) {
        earshot_present_placements(placement, n, &look, text);
        es_text_add_char(text, '\n');
    }
    earshot_present_cautions(s->plan, &look, text);
}

/* The band whose best choice is to be preferred: no device without a way, then the least cost, then the first. */
static size_t best_band(const earshot_placement *placement, size_t n)
{
    size_t best = 0;
    for (size_t i = 1; i < n; i++) {
        if (!placement[i].n_choices) continue;
        if (!placement[best].n_choices) {
            best = i;
            continue;
        }
        const earshot_choice *mine = &placement[i].choice[0], *theirs = &placement[best].choice[0];
        if (mine->n_unserved < theirs->n_unserved ||
            (mine->n_unserved == theirs->n_unserved && mine->cost < theirs->cost))
            best = i;
    }
    return best;
}

static cli_exit write_plan(const cli_session *s, const earshot_placement *placement, size_t n)
{
    char *plan;
    const earshot_placement *p = &placement[best_band(placement, n)];
    const earshot_status status = earshot_placement_write(p, 0, &plan);
    if (status) {
        cli_complain(status == EARSHOT_ARGUMENT ? "put the storeys into the plan itself" : NULL,
                     status == EARSHOT_ARGUMENT ? "a plan whose storeys stand in a file it uses cannot be written"
                                                : "out of memory");
        return status == EARSHOT_ARGUMENT ? CLI_BAD_PLAN : CLI_BAD_FAULT;
    }
    earshot_text text = {0};
    es_text_add(&text, plan);
    earshot_text_free(plan);
    return cli_write(s->options->write, &text);
}

static cli_exit write_all(const cli_session *s, const earshot_placement *placement, size_t n)
{
    const cli_options *o = s->options;
    earshot_text words = {0}, csv = {0}, json = {0};
    const bool in_words = !is_stdout(o->csv) && !is_stdout(o->json) && !is_stdout(o->write);
    cli_exit status = CLI_OK;
    if (in_words) add_words(s, placement, n, &words);
    if (o->json) status = cli_exit_of(earshot_json_placement(placement, n, &json));
    if (status == CLI_BAD_FAULT) cli_complain(NULL, "out of memory");
    if (o->csv) earshot_csv_placement(placement, n, &csv);
    if (status == CLI_OK && o->csv) status = cli_write(o->csv, &csv);
    if (status == CLI_OK && o->json) status = cli_write(o->json, &json);
    if (status == CLI_OK && o->write) status = write_plan(s, placement, n);
    if (status == CLI_OK && in_words) status = cli_print(&words);
    earshot_text_clear(&words);
    earshot_text_clear(&csv);
    earshot_text_clear(&json);
    return status;
}

/* Whether in some band every device is served. */
static cli_exit outcome(const earshot_placement *placement, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (placement[i].n_choices && !placement[i].choice[0].n_unserved) return CLI_OK;
    return CLI_LACKING;
}

static cli_exit check_together(const cli_options *o)
{
    if ((!isnan(o->spacing_m) || !isnan(o->height_m) || o->storey) && !o->anywhere)
        return cli_usage(&CLI_PLACE, "--storey, --spacing and --height go with --anywhere");
    if ((is_stdout(o->write) && (is_stdout(o->csv) || is_stdout(o->json))))
        return cli_usage(&CLI_PLACE, "only one of --write, --csv and --json can go to stdout");
    return CLI_OK;
}

static cli_exit run(const cli_options *options)
{
    cli_session session;
    earshot_placement placement[CLI_MAX_BANDS] = {0};
    size_t n = 0;
    cli_exit status = check_together(options);
    if (status == CLI_OK) status = cli_session_start(options, &session);
    if (status != CLI_OK) return status;
    status = place_all(&session, placement, &n);
    if (status == CLI_OK) status = write_all(&session, placement, n);
    if (status == CLI_OK) status = outcome(placement, n);
    for (size_t i = 0; i < n; i++) earshot_placement_clear(&placement[i]);
    cli_session_end(&session);
    return status;
}

const cli_command CLI_PLACE = {
    .name = "place",
    .summary = "where the receiver goes, which repeaters, what to wire",
    .operands = "PLAN",
    .least = 1,
    .most = 1,
    .options = "mbsragtzkewCJ",
    .description = "Finds the cheapest arrangement in which every device has its dependable margin,\n"
                   "and proves that there is none cheaper among the places allowed: every receiver\n"
                   "and mount of the plan, or any place along its walls. The plan's 'cost',\n"
                   "'inputs', 'avoid' and 'need repeaters=' say what counts. --scene all: it must\n"
                   "hold in every scene. Exit status 1: some device is left without a way.",
    .run = run,
};
