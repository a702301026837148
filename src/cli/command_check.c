/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "base/text.h"
#include "cli/session.h"

/* Which storeys a person wants to see: the one asked for, else those with devices or the receiver. */
static bool wants_map(const cli_session *s, unsigned storey)
{
    const earshot_plan *plan = s->plan;
    if (s->options->storey) return strcmp(plan->storey[storey].name, s->options->storey) == 0;
    if (plan->receiver[s->receiver].storey == storey) return true;
    for (size_t i = 0; i < plan->n_devices; i++)
        if (plan->device[i].storey == storey) return true;
    return false;
}

static cli_exit add_maps(const cli_session *s, const earshot_check *check, earshot_text *text)
{
    for (unsigned storey = 0; storey < s->plan->n_storeys; storey++) {
        if (!wants_map(s, storey)) continue;
        const cli_exit status = cli_add_map(s, check->site, check->frequency_hz, storey, check, text);
        if (status != CLI_OK) return status;
        es_text_add_char(text, '\n');
    }
    return CLI_OK;
}

static cli_exit add_text(const cli_session *s, const earshot_check *check, size_t n, earshot_text *text)
{
    const earshot_look look = cli_look();
    for (size_t i = 0; i < n; i++) {
        earshot_present_check(&check[i], &look, text);
        es_text_add_char(text, '\n');
    }
    if (n > 1) {
        earshot_present_comparison(check, n, &look, text);
        es_text_add_char(text, '\n');
    }
    for (size_t i = 0; i < n && !s->options->no_map; i++) {
        const cli_exit status = add_maps(s, &check[i], text);
        if (status != CLI_OK) return status;
    }
    earshot_present_cautions(s->plan, &look, text);
    return CLI_OK;
}

static bool is_stdout(const char *path)
{
    return path && strcmp(path, "-") == 0;
}

/* Everything is computed before anything is written. */
static cli_exit write_all(const cli_session *s, const earshot_check *check, size_t n)
{
    const cli_options *o = s->options;
    earshot_text words = {0}, csv = {0}, json = {0};
    const bool in_words = !is_stdout(o->csv) && !is_stdout(o->json);
    cli_exit status = in_words ? add_text(s, check, n, &words) : CLI_OK;
    if (status == CLI_OK && o->json) status = cli_exit_of(earshot_json_check(check, n, &json));
    if (status == CLI_BAD_FAULT) cli_complain(NULL, "out of memory");
    if (o->csv) earshot_csv_check(check, n, &csv);
    if (status == CLI_OK && o->csv) status = cli_write(o->csv, &csv);
    if (status == CLI_OK && o->json) status = cli_write(o->json, &json);
    if (status == CLI_OK && in_words) status = cli_print(&words);
    earshot_text_clear(&words);
    earshot_text_clear(&csv);
    earshot_text_clear(&json);
    return status;
}

static cli_exit run(const cli_options *options)
{
    cli_session session;
    earshot_check *check;
    size_t n;
    unsigned storey;
    cli_exit status = cli_session_start(options, &session);
    if (status != CLI_OK) return status;
    if (options->storey) status = cli_find_storey(&session, options->storey, &storey);
    if (status == CLI_OK) {
        status = cli_run_checks(&session, &check, &n);
        if (status == CLI_OK) status = write_all(&session, check, n);
        if (status == CLI_OK) status = cli_outcome(check, n);
        cli_checks_free(check, n);
    }
    cli_session_end(&session);
    return status;
}

const cli_command CLI_CHECK = {
    .name = "check",
    .summary = "margin and verdict of every device, with a map",
    .operands = "PLAN",
    .least = 1,
    .most = 1,
    .options = "mbstrczMCJDTNS",
    .description = "Judges every device of a plan against the receiver: how far it is, what margin\n"
                   "is left on average, what of it can be depended on, and whether it is heard\n"
                   "'direct', through a 'repeater' at a mount, or needs a 'wire'. PLAN - is read\n"
                   "from standard input. Several bands or scenes are put side by side.",
    .run = run,
};
