/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How the time of a map grows with its cells and with the building's walls. */
#define _POSIX_C_SOURCE 200809L

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench/bench.h"
#include "bench/bench_rays.h"

enum { REPEATS = 7 };

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median_s(const bench_site *site, double cell_m, double *cells)
{
    double taken[REPEATS];
    for (size_t i = 0; i < REPEATS; i++) {
        const double start_s = bench_seconds();
        *cells = bench_fill(site, cell_m);
        taken[i] = bench_seconds() - start_s;
    }
    qsort(taken, REPEATS, sizeof *taken, by_size);
    return taken[REPEATS / 2];
}

/* Rooms of 4 m x 4 m with stud walls, a door from each to the next along the row, one brick wall around all. */
static char *rooms(unsigned along, unsigned across)
{
    const size_t room = 4000 + (size_t)along * across * 120;
    char *text = malloc(room);
    if (!text) return NULL;
    const unsigned x = 4 * along, y = 4 * across;
    size_t n =
        (size_t)snprintf(text, room,
                         "plan 1\nsite \"Rooms, generated\"\nband 868.3MHz\nradio hub erp=14dBm sensitivity=-107dBm\n"
                         "storey ground level=0m height=2.5m\nwall brick-half 0,0 %u,0 %u,%u 0,%u 0,0\n"
                         "receiver panel %g,%g at=1.6m radio=hub\n",
                         x, x, y, y, 0.5 * x + 0.3, 0.5 * y + 0.7);
    for (unsigned i = 1; i < across; i++)
        n += (size_t)snprintf(text + n, room - n, "wall stud 0,%u %u,%u\n", 4 * i, x, 4 * i);
    for (unsigned i = 1; i < along; i++) {
        n += (size_t)snprintf(text + n, room - n, "wall stud %u,0 %u,%u\n", 4 * i, 4 * i, y);
        for (unsigned j = 0; j < across; j++)
            n += (size_t)snprintf(text + n, room - n, "door %u,%.1f %u,%.1f\n", 4 * i, 4 * j + 1.1, 4 * i, 4 * j + 2.0);
    }
    return text;
}

static void with_cells(void)
{
    bench_site site = bench_site_new(0);
    double few, many;
    const double few_s = median_s(&site, 1.0, &few), many_s = median_s(&site, 1.0 / 3.0, &many);
    printf("cells: house, %.0f cells %.3f s, %.0f cells %.3f s: %.1f times the cells take %.1f times as long\n", few,
           few_s, many, many_s, many / few, many_s / few_s);
    bench_site_free(&site);
}

static void with_walls(void)
{
    static const unsigned ALONG[] = {5, 20}, ACROSS[] = {5, 13};
    double each_ms[2], n_walls[2];
    for (size_t i = 0; i < 2; i++) {
        char *text = rooms(ALONG[i], ACROSS[i]);
        bench_site site = bench_site_of("Rooms", text);
        double cells;
        const double taken_s = median_s(&site, 1.0, &cells);
        n_walls[i] = (double)site.n_panels;
        each_ms[i] = 1e3 * taken_s / cells;
        printf("walls: %u x %u rooms, %.0f pieces of wall, %.0f cells: %.3f ms a cell\n", ALONG[i], ACROSS[i],
               n_walls[i], cells, each_ms[i]);
        bench_site_free(&site);
        free(text);
    }
    printf("%.1f times the walls take %.2f times as long a cell\n", n_walls[1] / n_walls[0], each_ms[1] / each_ms[0]);
}

void bench_growth(void)
{
    with_cells();
    with_walls();
}
