/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* SIGXFSZ */
#include <gsl/gsl_errno.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>

#include "cli/cli.h"

const cli_command *const CLI_COMMANDS[] = {&CLI_CHECK,     &CLI_MAP,    &CLI_EXPLAIN,   &CLI_PLACE,
                                           &CLI_CALIBRATE, &CLI_REPORT, &CLI_MATERIALS, &CLI_NEW};
const size_t CLI_N_COMMANDS = sizeof CLI_COMMANDS / sizeof CLI_COMMANDS[0];

enum { MOST_NAMES = 32 };

static cli_exit no_such_command(const char *word)
{
    const char *name[MOST_NAMES];
    size_t n = 0;
    for (; n < CLI_N_COMMANDS && n < MOST_NAMES; n++) name[n] = CLI_COMMANDS[n]->name;
    const char *nearest = cli_nearest(word, name, n);
    if (nearest) return cli_usage(NULL, "no command '%s'; did you mean '%s'?", word, nearest);
    return cli_usage(NULL, "no command '%s'", word);
}

static cli_exit run_command(const cli_command *command, int argc, char **argv)
{
    cli_options options;
    const cli_exit read = cli_read_options(command, argc, argv, &options);
    if (read != CLI_OK) return read;
    if (options.help) {
        cli_print_help(command);
        return CLI_OK;
    }
    return command->run(&options);
}

static cli_exit run(int argc, char **argv)
{
    if (argc < 2) return cli_usage(NULL, "say what to do: a command is missing");
    const char *word = argv[1];
    if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0) {
        cli_print_help(NULL);
        return CLI_OK;
    }
    if (strcmp(word, "--version") == 0) {
        printf("earshot %s\n", earshot_version());
        return CLI_OK;
    }
    if (word[0] == '-') return cli_usage(NULL, "unknown option '%s'; a command comes first", word);
    for (size_t i = 0; i < CLI_N_COMMANDS; i++)
        if (strcmp(CLI_COMMANDS[i]->name, word) == 0) return run_command(CLI_COMMANDS[i], argc - 1, argv + 1);
    return no_such_command(word);
}

int main(int argc, char **argv)
{
    signal(SIGPIPE, SIG_DFL);    /* a parent may have it ignored; a closed pipe shall end us quietly */
    signal(SIGXFSZ, SIG_IGN);    /* a file that may not grow is a failed write, to be reported and cleaned up */
    gsl_set_error_handler_off(); /* a program of our own may; the library never does */
    cli_guard_streams();
    return (int)cli_finish(run(argc, argv));
}
