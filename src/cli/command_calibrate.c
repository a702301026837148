/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "cli/session.h"

/* Everything that is printed or written. */
typedef struct outcome {
    earshot_check *before, *after;
    size_t n_before, n_after;
    earshot_visits visits;
} outcome;

static bool is_stdout(const char *path)
{
    return path && strcmp(path, "-") == 0;
}

static cli_exit no_memory(void)
{
    cli_complain(NULL, "out of memory");
    return CLI_BAD_FAULT;
}

/* The same checks on the site as it was. */
static cli_exit check_both(cli_session *s, outcome *o)
{
    s->site[0] = s->calibration->before;
    cli_exit status = cli_run_checks(s, &o->before, &o->n_before);
    s->site[0] = s->calibration->after;
    if (status == CLI_OK) status = cli_run_checks(s, &o->after, &o->n_after);
    return status;
}

static cli_exit add_next(const cli_session *s, const outcome *o, const earshot_look *look, earshot_text *text)
{
    for (size_t i = 0; i < o->n_after; i++) {
        earshot_next *next = calloc(s->plan->n_devices + 1, sizeof *next);
        size_t n = 0;
        double doubt = 0.0;
        const earshot_status status =
            next ? earshot_next_readings(s->calibration, &o->after[i], next, &n, &doubt) : EARSHOT_MEMORY;
        if (!status) earshot_present_next(&o->after[i], next, n, doubt, look, text);
        free(next);
        if (status) return no_memory();
    }
    return CLI_OK;
}

static cli_exit add_text(const cli_session *s, const outcome *o, earshot_text *text)
{
    const earshot_look look = cli_look();
    earshot_present_calibration(s->calibration, o->before, o->after, o->n_after, &look, text);
    const cli_exit status = s->options->next ? add_next(s, o, &look, text) : CLI_OK;
    if (status != CLI_OK) return status;
    earshot_present_visits(s->calibration, &o->visits, &look, text);
    es_text_add_char(text, '\n');
    earshot_present_cautions(s->plan, &look, text);
    return CLI_OK;
}

/* Everything is computed before anything is written. */
static cli_exit write_all(const cli_session *s, const outcome *o)
{
    const cli_options *options = s->options;
    earshot_text words = {0}, csv = {0}, json = {0}, materials = {0};
    const bool in_words = !is_stdout(options->csv) && !is_stdout(options->json) && !is_stdout(options->write);
    cli_exit status = in_words ? add_text(s, o, &words) : CLI_OK;
    if (status == CLI_OK && options->json &&
        earshot_json_calibration(s->calibration, o->before, o->after, o->n_after, &o->visits, &json))
        status = no_memory();
    if (options->csv) earshot_csv_calibration(s->calibration, &csv);
    if (options->write) earshot_plan_text_calibrated(s->calibration, &materials);
    if (status == CLI_OK && options->csv) status = cli_write(options->csv, &csv);
    if (status == CLI_OK && options->json) status = cli_write(options->json, &json);
    if (status == CLI_OK && options->write) status = cli_write(options->write, &materials);
    if (status == CLI_OK && in_words) status = cli_print(&words);
    earshot_text_clear(&words);
    earshot_text_clear(&csv);
    earshot_text_clear(&json);
    earshot_text_clear(&materials);
    return status;
}

static cli_exit calibrate(cli_session *s)
{
    outcome o = {0};
    cli_exit status = cli_calibrate(s, s->options->device, true);
    if (status == CLI_OK) status = check_both(s, &o);
    if (status == CLI_OK && earshot_visits_find(s->calibration, &o.visits)) status = no_memory();
    if (status == CLI_OK) status = write_all(s, &o);
    if (status == CLI_OK) status = cli_outcome(o.after, o.n_after);
    cli_checks_free(o.before, o.n_before);
    cli_checks_free(o.after, o.n_after);
    earshot_visits_clear(&o.visits);
    return status;
}

static cli_exit run(const cli_options *options)
{
    cli_session session;
    cli_exit status = cli_session_start(options, &session);
    if (status != CLI_OK) return status;
    status = calibrate(&session);
    cli_session_end(&session);
    return status;
}

const cli_command CLI_CALIBRATE = {
    .name = "calibrate",
    .summary = "readings on site correct the plan",
    .operands = "PLAN READINGS",
    .second = "a file of readings as well",
    .least = 2,
    .most = 2,
    .options = "mbsrRTNSQXWCJ",
    .description = "Compares levels read on site with what the plan foretold: which reading does not\n"
                   "fit, what the walls really cost, and what that means for the other devices.\n"
                   "READINGS is a CSV file with a header: device (or x, y, z, storey), receiver,\n"
                   "band, level, and if wanted date, noise, attenuator, heard, note. With dates of\n"
                   "several visits, trends are shown. docs/calibrate.md tells all.",
    .run = run,
};
