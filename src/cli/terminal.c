/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the terminal can do, if there is one. */
#define _DEFAULT_SOURCE /* TIOCGWINSZ */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <time.h>
#include <unistd.h>

#include "base/number.h"
#include "cli/cli.h"

/* Lines longer than this tire the eye; who wants more says so with COLUMNS and a pipe. */
enum { DEFAULT_WIDTH = 80, WIDEST_TERMINAL = 120, NARROWEST = 40, WIDEST = 400 };

static const double PATIENCE_S = 0.5;

/* Opened for the wrong direction, so that writing to a closed stream still fails and is reported. */
void cli_guard_streams(void)
{
    for (int fd = 0; fd <= 2; fd++) {
        if (fcntl(fd, F_GETFD) != -1) continue;
        if (open("/dev/null", fd == 0 ? O_WRONLY : O_RDONLY) < 0) return;
    }
}

static unsigned clamp(double width, unsigned least, unsigned most)
{
    if (width < least) return least;
    return width > most ? most : (unsigned)width;
}

static unsigned find_width(void)
{
    struct winsize size;
    double stated;
    const char *columns = getenv("COLUMNS");
    if (isatty(STDOUT_FILENO) && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0)
        return clamp(size.ws_col, NARROWEST, WIDEST_TERMINAL);
    if (columns && *columns && es_number_read(columns, strlen(columns), &stated) == strlen(columns))
        return clamp(stated, NARROWEST, WIDEST);
    return DEFAULT_WIDTH;
}

static bool wants_colour(int fd)
{
    const char *refused = getenv("NO_COLOR");
    const char *kind = getenv("TERM");
    if (refused && *refused) return false;
    return isatty(fd) && kind && strcmp(kind, "dumb") != 0;
}

earshot_look cli_look(void)
{
    return (earshot_look){.colour = wants_colour(STDOUT_FILENO), .width = find_width()};
}

earshot_look cli_look_stderr(void)
{
    return (earshot_look){.colour = wants_colour(STDERR_FILENO), .width = DEFAULT_WIDTH};
}

static double now_s(void)
{
    struct timespec t;
    if (clock_gettime(CLOCK_MONOTONIC, &t) != 0) return 0.0;
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static bool show(void *context, double done)
{
    cli_progress *p = context;
    const int percent = (int)(done * 100.0);
    if (now_s() - p->started_s < PATIENCE_S || percent == p->last_percent) return true;
    fprintf(stderr, "\r%s %3d %%", p->what, percent);
    fflush(stderr);
    p->last_percent = percent;
    p->shown = true;
    return true;
}

void cli_progress_start(cli_progress *progress, const char *what)
{
    *progress = (cli_progress){.what = what, .started_s = now_s(), .last_percent = -1};
    if (isatty(STDERR_FILENO)) progress->watch = (earshot_watch){show, progress};
}

void cli_progress_end(cli_progress *progress)
{
    if (!progress->shown) return;
    fprintf(stderr, "\r%*s\r", (int)strlen(progress->what) + 6, "");
    fflush(stderr);
}
