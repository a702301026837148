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
    .least = 2,
    .most = 2,
    .options = "mbsr",
    .description = "Shows what leaves the device, what distance and each wall take, what arrives\n"
                   "and what is needed; then says why, and what would help. Exit status is 0 if\n"
                   "this device is heard directly, 1 if not.",
    .run = run,
};
