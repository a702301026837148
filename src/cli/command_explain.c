/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/text.h"
#include "cli/session.h"

static cli_exit outcome(const earshot_check *check, size_t n, size_t device)
{
    const bool wired = earshot_site_plan(check->site)->device[device].wiring == EARSHOT_WIRING_MUST;
    for (size_t i = 0; i < n && !wired; i++)
        if (check[i].device[device].verdict != EARSHOT_VERDICT_DIRECT) return CLI_LACKING;
    return CLI_OK;
}

static cli_exit explain(const cli_session *s, const earshot_check *check, size_t n, size_t device)
{
    const earshot_look look = cli_look();
    earshot_text text = {0};
    for (size_t i = 0; i < n; i++) {
        const earshot_status status = earshot_present_explanation(&check[i], device, &look, &text);
        if (status) {
            cli_complain(NULL, "%s", earshot_status_text(status));
            earshot_text_clear(&text);
            return cli_exit_of(status);
        }
        es_text_add_char(&text, '\n');
    }
    earshot_present_cautions(s->plan, &look, &text);
    return cli_print(&text);
}

/* The first band and scene; more do not fit into one picture and are refused before. */
static cli_exit write_picture(const cli_session *s, const earshot_check *check, size_t device)
{
    earshot_picture_look look;
    earshot_text picture = {0};
    cli_exit status = cli_picture_look(&CLI_EXPLAIN, s->options, s->options->picture, &look);
    if (status == CLI_OK && !check->device[device].link.out.used && !check->device[device].link.back.used) {
        cli_complain(NULL, "'%s' is wired by the plan: there is no radio link to draw", s->options->device);
        status = CLI_USAGE;
    }
    if (status == CLI_OK) status = cli_picture_outcome(earshot_picture_explanation(check, device, &look, &picture));
    if (status == CLI_OK) status = cli_write(s->options->picture, &picture);
    earshot_text_clear(&picture);
    return status;
}

static cli_exit run(const cli_options *options)
{
    cli_session session;
    earshot_check *check;
    size_t n, device;
    cli_exit status = cli_session_start(options, &session);
    if (status != CLI_OK) return status;
    status = cli_find_device(&session, options->device, &device);
    if (status == CLI_OK) {
        status = cli_run_checks(&session, &check, &n);
        if (status == CLI_OK && options->picture && n > 1)
            status = cli_usage(&CLI_EXPLAIN, "--picture holds one link: choose a --band and a --scene");
        else if (status == CLI_OK && options->picture)
            status = write_picture(&session, check, device);
        if (status == CLI_OK) status = explain(&session, check, n, device);
        if (status == CLI_OK) status = outcome(check, n, device);
        cli_checks_free(check, n);
    }
    cli_session_end(&session);
    return status;
}

const cli_command CLI_EXPLAIN = {
    .name = "explain",
    .summary = "one device, term by term, and what would change its verdict",
    .operands = "PLAN DEVICE",
    .second = "a device as well",
    .least = 2,
    .most = 2,
    .options = "mbsrpLA",
    .description = "Shows what leaves the device, what distance and each wall take, what arrives\n"
                   "and what is needed; then says why, and what would help. Exit status is 0 if\n"
                   "this device is heard directly, 1 if not.",
    .run = run,
};
