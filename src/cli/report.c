/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What goes to stderr. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/nearest.h"
#include "base/number.h"
#include "base/utf8.h"
#include "cli/cli.h"

/* What came with the command line may hold codes that a terminal obeys. */
static void disarm(char *text)
{
    const size_t n = strlen(text);
    for (size_t at = 0, length; at < n; at += length ? length : 1) {
        uint32_t code = 0;
        length = es_utf8_read(text + at, n - at, &code);
        if (length && es_utf8_is_control(code)) memset(text + at, '?', length);
    }
}

/* When memory is out nothing can be laid out, but it must be said all the same. */
static void print_plainly(const earshot_error *error, bool warning)
{
    if (error->file[0]) fputs(error->file, stderr);
    if (error->file[0] && error->line) fprintf(stderr, ":%u", error->line);
    if (error->file[0] && error->line && error->column) fprintf(stderr, ":%u", error->column);
    fprintf(stderr, "%s%s", error->file[0] ? ": " : "", warning ? "warning: " : "");
    fprintf(stderr, "%s\n", error->message[0] ? error->message : earshot_status_text(error->status));
    if (error->hint[0]) fprintf(stderr, "    %s\n", error->hint);
}

void cli_report_error(const earshot_error *error, bool warning)
{
    const earshot_look look = cli_look_stderr();
    earshot_text text = {0};
    earshot_error shown = *error;
    disarm(shown.file);
    earshot_present_error(&shown, warning, &look, &text);
    fputs("earshot: ", stderr);
    if (text.failed)
        print_plainly(&shown, warning);
    else
        fputs(text.data, stderr);
    earshot_text_clear(&text);
}

void cli_complain(const char *hint, const char *format, ...)
{
    earshot_error error = {0};
    va_list arguments;
    va_start(arguments, format);
    es_vformat(error.message, sizeof error.message, format, arguments);
    va_end(arguments);
    disarm(error.message);
    es_format(error.hint, sizeof error.hint, "%s", hint ? hint : "");
    cli_report_error(&error, false);
}

cli_exit cli_usage(const cli_command *command, const char *format, ...)
{
    earshot_error error = {0};
    va_list arguments;
    va_start(arguments, format);
    es_vformat(error.message, sizeof error.message, format, arguments);
    va_end(arguments);
    disarm(error.message);
    es_format(error.hint, sizeof error.hint, "'earshot %s%s--help' tells more", command ? command->name : "",
              command ? " " : "");
    cli_report_error(&error, false);
    return CLI_USAGE;
}

void cli_report_findings(const earshot_findings *findings)
{
    const size_t mistakes = findings->n_mistakes, warnings = findings->n_warnings;
    for (size_t i = 0; i < warnings && i < EARSHOT_MAX_FINDINGS; i++) cli_report_error(&findings->warning[i], true);
    if (warnings > EARSHOT_MAX_FINDINGS)
        cli_complain("they may be of the same kind: see to these first", "there are more warnings than these %d",
                     EARSHOT_MAX_FINDINGS);
    for (size_t i = 0; i < mistakes && i < EARSHOT_MAX_FINDINGS; i++) cli_report_error(&findings->mistake[i], false);
    if (mistakes > EARSHOT_MAX_FINDINGS)
        cli_complain(NULL, "%zu more mistakes are not shown", mistakes - EARSHOT_MAX_FINDINGS);
}

cli_exit cli_exit_of(earshot_status status)
{
    if (status == EARSHOT_OK) return CLI_OK;
    if (status < 300) return CLI_BAD_PLAN;
    if (status < 400) return CLI_BAD_FILE;
    return status < 500 ? CLI_USAGE : CLI_BAD_FAULT;
}

const char *cli_nearest(const char *word, const char *const *name, size_t n)
{
    es_nearest nearest = es_nearest_to(word, strlen(word));
    for (size_t i = 0; i < n; i++) es_nearest_offer(&nearest, name[i]);
    return nearest.best;
}

cli_exit cli_no_such_name(const char *what, const char *name, const earshot_plan *plan, cli_name_at *name_at, size_t n)
{
    es_nearest nearest = es_nearest_to(name, strlen(name));
    for (size_t i = 0; i < n; i++) es_nearest_offer(&nearest, name_at(plan, i));
    char hint[240];
    size_t used = 0;
    if (nearest.best)
        es_format(hint, sizeof hint, "did you mean '%s'?", nearest.best);
    else if (n == 0)
        es_format(hint, sizeof hint, "the plan has no %s at all", what);
    else
        used = (size_t)es_format(hint, sizeof hint, "the plan has: ");
    for (size_t i = 0; used && i < n; i++) {
        const char *next = name_at(plan, i);
        if (used + strlen(next) + sizeof ", ..." > sizeof hint) {
            es_format(hint + used, sizeof hint - used, ", ...");
            break;
        }
        used += (size_t)es_format(hint + used, sizeof hint - used, "%s%s", i ? ", " : "", next);
    }
    cli_complain(hint, "no %s '%s' in the plan", what, name);
    return CLI_USAGE;
}
