/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Walls crossed per second: the wall index, looking at every wall in turn, and, where it was found when building,
 * Embree (its triangles, every hit reported to a filter that refuses it, one thread). Same walls, same segments, one
 * run. Ours also puts the crossings in order and in groups; the other two only find them. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "bench/bench.h"
#include "bench/bench_embree.h"
#include "geometry/geometry.h"
#include "support/random.h"

enum { RUNS = 7, SEGMENTS = 4096, CROSSINGS = 4096 };

typedef struct town {
    const char *what;
    size_t n, n_segments;
    es_panel *panel;
    double width_m, depth_m;
    earshot_vec3 *from, *to;
} town;

/* A building of rooms by rooms rooms, about 4 m each way, every wall a piece between two corners. */
static void add_building(town *t, size_t rooms, double x_m, double y_m, size_t limit, uint64_t *random)
{
    const double side_m = 4.1;
    for (size_t line = 0; line <= rooms; line++) {
        for (size_t piece = 0; piece < rooms; piece++) {
            for (int way = 0; way < 2 && limit > 0; way++, limit--) {
                const double off_m = side_m * (double)line + random_between(random, -0.3, 0.3);
                const double along_m = side_m * (double)piece;
                const double length_m = side_m + random_between(random, -0.9, 0);
                t->panel[t->n++] = (es_panel){.ax_m = x_m + (way ? off_m : along_m),
                                              .ay_m = y_m + (way ? along_m : off_m),
                                              .bx_m = x_m + (way ? off_m : along_m + length_m),
                                              .by_m = y_m + (way ? along_m + length_m : off_m),
                                              .z1_m = 2.5,
                                              .element = t->n};
            }
        }
    }
    t->width_m = fmax(t->width_m, x_m + side_m * (double)rooms);
    t->depth_m = fmax(t->depth_m, y_m + side_m * (double)rooms);
}

static void *take(size_t n, size_t size)
{
    void *memory = calloc(n, size);
    if (memory) return memory;
    fputs("out of memory\n", stderr);
    exit(1);
}

static town new_town(const char *what, size_t buildings, size_t rooms, size_t walls, size_t n_segments)
{
    uint64_t random = 868300 + walls;
    town t = {.what = what, .n_segments = n_segments, .panel = take(buildings * walls, sizeof *t.panel)};
    t.from = take(n_segments, sizeof *t.from);
    t.to = take(n_segments, sizeof *t.to);
    for (size_t i = 0; i < buildings; i++)
        add_building(&t, rooms, 170 * (double)(i % 10), 170 * (double)(i / 10), walls, &random);
    for (size_t i = 0; i < n_segments; i++) {
        earshot_vec3 *const end[] = {&t.from[i], &t.to[i]};
        for (int k = 0; k < 2; k++)
            *end[k] = (earshot_vec3){random_between(&random, 0, t.width_m), random_between(&random, 0, t.depth_m),
                                     random_between(&random, 0.3, 2.3)};
    }
    return t;
}

static void free_town(town *t)
{
    free(t->panel);
    free(t->from);
    free(t->to);
}

static size_t cross_indexed(const town *t, const es_geometry *geometry)
{
    static earshot_crossing crossing[CROSSINGS];
    size_t crossed = 0, n = 0;
    for (size_t i = 0; i < t->n_segments; i++) {
        if (es_geometry_crossings(geometry, t->from[i], t->to[i], crossing, CROSSINGS, &n)) return 0;
        crossed += n;
    }
    return crossed;
}

/* Two turns on the ground plan, then the height: no more than it takes. */
static bool crosses(const es_panel *p, earshot_vec3 a, earshot_vec3 b)
{
    const double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m, ux = p->bx_m - p->ax_m, uy = p->by_m - p->ay_m;
    const double side_a = dx * (p->ay_m - a.y_m) - dy * (p->ax_m - a.x_m);
    const double side_b = dx * (p->by_m - a.y_m) - dy * (p->bx_m - a.x_m);
    if ((side_a > 0) == (side_b > 0)) return false;
    const double off_a = ux * (a.y_m - p->ay_m) - uy * (a.x_m - p->ax_m);
    const double off_b = ux * (b.y_m - p->ay_m) - uy * (b.x_m - p->ax_m);
    if ((off_a > 0) == (off_b > 0)) return false;
    const double z_m = a.z_m + off_a / (off_a - off_b) * (b.z_m - a.z_m);
    return z_m >= p->z0_m && z_m <= p->z1_m;
}

static size_t cross_each(const town *t, size_t n_segments)
{
    size_t crossed = 0;
    for (size_t i = 0; i < n_segments; i++)
        for (size_t k = 0; k < t->n; k++) crossed += crosses(&t->panel[k], t->from[i], t->to[i]);
    return crossed;
}

typedef struct speed {
    double median_s, best_s; /* a segment */
    size_t crossed;
} speed;

/* Repeat what one of the three does to all segments until it has taken a tenth of a second, seven times. */
static speed measure(const town *t, const es_geometry *geometry, bench_embree *embree, size_t n_segments)
{
    double seconds[RUNS];
    speed s = {0};
    for (int run = 0; run < RUNS; run++) {
        size_t rounds = 0;
        const double start_s = bench_seconds();
        do {
            s.crossed = geometry ? cross_indexed(t, geometry)
                        : embree ? bench_embree_cross(embree, t->from, t->to, n_segments)
                                 : cross_each(t, n_segments);
            seconds[run] = bench_seconds() - start_s;
            rounds++;
        } while (seconds[run] < 0.1);
        seconds[run] /= (double)(rounds * n_segments);
    }
    s.median_s = bench_median(seconds, RUNS);
    s.best_s = seconds[0];
    return s;
}

static void print_speed(const char *how, const speed *s, size_t n_segments, double baseline_s)
{
    const double each = (double)s->crossed / (double)n_segments;
    printf("  %-12s %10.0f segments/s  best %10.0f  %8.3f us/segment  %6.2f M walls crossed/s  %7.2fx  (%zu crossed)\n",
           how, 1 / s->median_s, 1 / s->best_s, s->median_s * 1e6, each / s->median_s * 1e-6, baseline_s / s->median_s,
           s->crossed);
}

static void compare(town t)
{
    es_geometry *geometry = NULL;
    double start_s = bench_seconds();
    if (es_geometry_new(t.panel, t.n, NULL, 0, NULL, 0, &geometry)) exit(1);
    const double ours_s = bench_seconds() - start_s;
    start_s = bench_seconds();
    bench_embree *embree = bench_embree_new(t.panel, t.n); /* NULL when built without it */
    const double theirs_s = bench_seconds() - start_s;
    const size_t few = t.n > 10000 ? t.n_segments / 32 : t.n_segments;
    const speed indexed = measure(&t, geometry, NULL, t.n_segments), each = measure(&t, NULL, NULL, few);
    printf("%s: %zu walls on %.0f m x %.0f m, %.1f crossed a segment; built in %.2f ms", t.what, t.n, t.width_m,
           t.depth_m, (double)indexed.crossed / (double)t.n_segments, ours_s * 1e3);
    if (embree) printf(" (Embree %.2f ms)", theirs_s * 1e3);
    putchar('\n');
    print_speed("index", &indexed, t.n_segments, each.median_s);
    print_speed("one by one", &each, few, each.median_s);
    if (embree) {
        const speed theirs = measure(&t, NULL, embree, t.n_segments);
        print_speed("Embree", &theirs, t.n_segments, each.median_s);
        printf("  index / Embree %.2f\n", theirs.median_s / indexed.median_s);
    }
    bench_embree_free(embree);
    es_geometry_free(geometry);
    free_town(&t);
}

int main(void)
{
    bench_print_machine();
    compare(new_town("house", 1, 5, 60, SEGMENTS));
    compare(new_town("office", 1, 32, 2000, SEGMENTS));
    compare(new_town("campus", 50, 32, 2000, SEGMENTS));
    return 0;
}
