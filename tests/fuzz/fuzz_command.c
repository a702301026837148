/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any words as the command line of the program, run in this process: one word a line. It ends in one of the exit
 * statuses promised. Nothing is written: the program's own cli_write and cli_finish are replaced when linking. */
#define _XOPEN_SOURCE 700
#include <getopt.h>
#include <string.h>
#include <unistd.h>

#include "cli/cli.h"
#include "fuzz/fuzz.h"

enum { MOST_WORDS = 24, LONGEST = 400 };

int earshot_main(int argc, char **argv);
cli_exit __wrap_cli_write(const char *path, earshot_text *text);
cli_exit __wrap_cli_finish(cli_exit so_far);
const char *__lsan_default_suppressions(void);

/* What fontconfig keeps for the next time is no leak of ours. */
const char *__lsan_default_suppressions(void)
{
    return "leak:libfontconfig\n";
}

cli_exit __wrap_cli_write(const char *path, earshot_text *text)
{
    MUST_HOLD(path != NULL && !text->failed);
    earshot_text_clear(text);
    return CLI_OK;
}

cli_exit __wrap_cli_finish(cli_exit so_far)
{
    fflush(stdout);
    return so_far;
}

/* A folder of its own with a plan and readings in it, whose names stand in the corpus. */
static void enter_folder(void)
{
    char folder[] = "/tmp/fuzz-command-XXXXXX";
    static const char SITE[] = "plan 1\nband 868.3 433.92\nradio hub erp=14 sensitivity=-107 twoway=yes\n"
                               "radio small erp=2\nstorey g level=0 height=2.5\nwall metal 0,0 3,0 3,2 0,2 0,0\n"
                               "receiver panel 1,1 at=1.6 radio=hub\nmount spare 2,1.5 at=2 mains=yes\n"
                               "device d movement 2.5,1 at=2 radio=small\ndevice e contact 9,1 at=1 radio=small\n"
                               "scene open swap=metal:open\n";
    static const char READINGS[] = "device,level,date\nd,-41.5,2026-03-14\ne,-77.25,2026-03-15\ne,-80,2026-05-02\n";
    FILE *plan, *readings;
    MUST_HOLD(mkdtemp(folder) && chdir(folder) == 0);
    MUST_HOLD((plan = fopen("a.plan", "w")) && fputs(SITE, plan) >= 0 && fclose(plan) == 0);
    MUST_HOLD((readings = fopen("r.csv", "w")) && fputs(READINGS, readings) >= 0 && fclose(readings) == 0);
    MUST_HOLD(freopen("/dev/null", "w", stdout) && freopen("/dev/null", "r", stdin));
}

/* One word a line; '/' would lead out of the folder. Very fine maps are right, but take long. */
static int split(const uint8_t *data, size_t size, char *text, char **word)
{
    int n = 0;
    word[n++] = text;
    memcpy(text, "earshot", 8);
    char *to = text + 8;
    for (size_t i = 0; i < size && n < MOST_WORDS; i++) {
        if (i == 0 || data[i - 1] == '\n') word[n++] = to;
        *to++ = data[i] == '\n' ? '\0' : (char)(data[i] == '/' ? '_' : data[i]);
    }
    *to = '\0';
    word[n] = NULL;
    return n;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static bool entered;
    char text[LONGEST + 16];
    char *word[MOST_WORDS + 1];
    if (!entered) enter_folder();
    entered = true;
    if (size > LONGEST) return 0;
    const int n = split(data, size, text, word);
    optind = 0; /* glibc: start afresh */
    const int status = earshot_main(n, word);
    MUST_HOLD(status >= CLI_OK && status <= CLI_BAD_FILE);
    return 0;
}
