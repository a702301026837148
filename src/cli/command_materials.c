/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "cli/session.h"

/* The least plan there can be, with the two bands of the trade. */
static const char BARE_PLAN[] = "plan 1\nband 433.92MHz 868.30MHz\n";

static cli_exit print_plan_text(void)
{
    earshot_text text = {0};
    es_text_add(&text, earshot_builtin_materials());
    return cli_print(&text);
}

static cli_exit read_bare_plan(earshot_plan **plan)
{
    earshot_findings *findings = calloc(1, sizeof *findings);
    if (!findings) {
        cli_complain(NULL, "out of memory");
        return CLI_BAD_FAULT;
    }
    const earshot_status status =
        earshot_plan_read(BARE_PLAN, sizeof BARE_PLAN - 1, "built-in materials", plan, findings);
    cli_report_findings(findings);
    free(findings);
    return cli_exit_of(status);
}

static cli_exit write_table(const cli_options *options, const earshot_site *site)
{
    const earshot_look look = cli_look();
    earshot_text text = {0}, csv = {0};
    cli_exit status = CLI_OK;
    earshot_present_materials(site, &look, &text);
    earshot_csv_materials(site, &csv);
    if (options->csv) status = cli_write(options->csv, &csv);
    if (status == CLI_OK && !(options->csv && strcmp(options->csv, "-") == 0)) status = cli_print(&text);
    earshot_text_clear(&text);
    earshot_text_clear(&csv);
    return status;
}

static cli_exit run(const cli_options *options)
{
    earshot_plan *plan = NULL;
    earshot_site *site = NULL;
    earshot_error error = {0};
    if (options->plan_text) return print_plan_text();
    cli_exit status = options->plan ? cli_read_plan(options->plan, &plan) : read_bare_plan(&plan);
    if (status != CLI_OK) return status;
    const earshot_status made = earshot_site_new(plan, NULL, &site, &error);
    if (made) cli_report_error(&error, false);
    status = made ? cli_exit_of(made) : write_table(options, site);
    earshot_site_free(site);
    earshot_plan_free(plan);
    return status;
}

const cli_command CLI_MATERIALS = {
    .name = "materials",
    .summary = "the known materials, their losses and where these come from",
    .operands = "[PLAN]",
    .least = 0,
    .most = 1,
    .options = "CP",
    .description = "Lists the built-in materials, with PLAN also those of a plan, at its bands.\n"
                   "'spread' is how much the loss differs from one building to the next.",
    .run = run,
};
