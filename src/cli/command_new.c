/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/text.h"
#include "cli/cli.h"
#include "cli/starter.h"

static cli_exit run(const cli_options *options)
{
    earshot_text text = {0};
    (void)options;
    for (size_t i = 0; i < CLI_STARTER_PARTS; i++) es_text_add(&text, CLI_STARTER[i]);
    return cli_print(&text);
}

const cli_command CLI_NEW = {
    .name = "new",
    .summary = "a commented plan to start from",
    .operands = "",
    .least = 0,
    .most = 0,
    .options = "",
    .description = "Prints a small house with a detached garage, every statement explained:\n"
                   "  earshot new > my-site.plan\n"
                   "  earshot check my-site.plan",
    .run = run,
};
