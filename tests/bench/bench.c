/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L

#include "bench/bench.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/utsname.h>
#include <time.h>
#include <unistd.h>

double bench_seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static int rising(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double bench_median(double *value, size_t n)
{
    qsort(value, n, sizeof *value, rising);
    return n % 2 ? value[n / 2] : (value[n / 2 - 1] + value[n / 2]) / 2;
}

/* What follows a word and a colon in a file of the system, or "unknown". */
static void read_field(const char *path, const char *word, char *value, size_t size)
{
    char line[256];
    snprintf(value, size, "unknown");
    FILE *file = fopen(path, "r");
    while (file && fgets(line, sizeof line, file)) {
        const char *colon = strchr(line, ':');
        if (strncmp(line, word, strlen(word)) != 0 || !colon) continue;
        snprintf(value, size, "%s", colon + 2);
        value[strcspn(value, "\n")] = 0;
        break;
    }
    if (file) fclose(file);
}

static void read_commit(char *commit, size_t size)
{
    snprintf(commit, size, "unknown");
    FILE *git = popen("git -C '" BENCH_SOURCE_DIR "' describe --always --dirty 2>/dev/null", "r");
    if (!git) return;
    char line[80];
    if (fgets(line, sizeof line, git)) snprintf(commit, size, "%s", line);
    commit[strcspn(commit, "\n")] = 0;
    pclose(git);
}

void bench_print_machine(void)
{
    char model[128], commit[80];
    struct utsname system = {.sysname = "unknown"};
    uname(&system);
    read_field("/proc/cpuinfo", "model name", model, sizeof model);
    read_commit(commit, sizeof commit);
    printf("machine   %s, %ld cores, %s %s\n", model, sysconf(_SC_NPROCESSORS_ONLN), system.sysname, system.machine);
    printf("compiler  %s\ncommit    %s\n\n", __VERSION__, commit);
}
