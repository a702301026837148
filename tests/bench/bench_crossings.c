/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Walls crossed per second: the wall index, looking at every wall in turn, and, where it was found when building,
 * Embree (its triangles, every hit reported to a filter that refuses it, one thread). Same walls, same segments, taken
 * in turn in one run. Of ours there are two: "found" is what the other two do as well, which walls and where, in no
 * order; "answered" puts the crossings in order and in groups and gives their angles. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench/bench.h"
#include "bench/bench_embree.h"
#include "geometry/hit.h"
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

/* A town, and what answers for it. */
typedef struct subject {
    const town *town;
    es_geometry *geometry;
    bench_embree *embree; /* NULL when built without it */
} subject;

static void free_town(town *t)
{
    free(t->panel);
    free(t->from);
    free(t->to);
}

static size_t find_indexed(const subject *s, size_t n_segments)
{
    size_t crossed = 0;
    for (size_t i = 0; i < n_segments; i++) {
        es_line line;
        es_line_start(&line, &s->town->from[i], &s->town->to[i]);
        es_passes passes;
        es_hits hits;
        passes.n = 0;
        es_hits_start(&hits);
        if (s->geometry->search(s->geometry, &line, &passes, &hits)) crossed += passes.n + hits.n;
        es_hits_free(&hits);
    }
    return crossed;
}

static size_t answer_indexed(const subject *s, size_t n_segments)
{
    static earshot_crossing crossing[CROSSINGS];
    size_t crossed = 0, n = 0;
    for (size_t i = 0; i < n_segments; i++) {
        if (es_geometry_crossings(s->geometry, s->town->from[i], s->town->to[i], crossing, CROSSINGS, &n)) return 0;
        crossed += n;
    }
    return crossed;
}

static size_t cross_embree(const subject *s, size_t n_segments)
{
    return bench_embree_cross(s->embree, s->town->from, s->town->to, n_segments);
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

static size_t cross_each(const subject *s, size_t n_segments)
{
    const town *const t = s->town;
    size_t crossed = 0;
    for (size_t i = 0; i < n_segments; i++)
        for (size_t k = 0; k < t->n; k++) crossed += crosses(&t->panel[k], t->from[i], t->to[i]);
    return crossed;
}

enum { EMBREE, FOUND, ANSWERED, ONE_BY_ONE, WAYS };

typedef struct way {
    const char *name;
    size_t (*cross)(const subject *s, size_t n_segments); /* NULL when it cannot be tried */
    size_t n_segments, crossed;
    double taken_s[RUNS]; /* a segment */
    double median_s;
    double before_s; /* median in the town before; 0 if there was none */
} way;

/* All segments once, so that what it needs is at hand again, and then until a tenth of a second has passed. */
static double seconds_a_segment(way *w, const subject *s)
{
    w->crossed = w->cross(s, w->n_segments);
    const double start_s = bench_seconds();
    size_t rounds = 0;
    double taken_s;
    do {
        w->cross(s, w->n_segments);
        taken_s = bench_seconds() - start_s;
        rounds++;
    } while (taken_s < 0.1);
    return taken_s / (double)(rounds * w->n_segments);
}

/* In turn, so that what else the machine does meets all alike. */
static void measure(way *all, const subject *s)
{
    for (int run = 0; run < RUNS; run++)
        for (int i = 0; i < WAYS; i++)
            if (all[i].cross) all[i].taken_s[run] = seconds_a_segment(&all[i], s);
    for (int i = 0; i < WAYS; i++) {
        double sorted_s[RUNS];
        memcpy(sorted_s, all[i].taken_s, sizeof sorted_s);
        all[i].before_s = all[i].median_s;
        all[i].median_s = bench_median(sorted_s, RUNS);
    }
}

/* Median of how many times quicker it was, run by run. */
static double times_as_quick(const way *w, const way *than)
{
    double times[RUNS];
    for (int run = 0; run < RUNS; run++) times[run] = than->taken_s[run] / w->taken_s[run];
    return bench_median(times, RUNS);
}

/* 0 for what cannot be told. */
static void print_times(double times)
{
    if (times > 0)
        printf("  %9.2f", times);
    else
        printf("  %9s", "-");
}

static void print_way(const way *w, const way *embree)
{
    const double a_wall_s = w->median_s * (double)w->n_segments / (double)w->crossed;
    printf("  %-10s  %12.1f  %9.2f  %9.2f", w->name, w->median_s * 1e9, a_wall_s * 1e9, 1e-6 / a_wall_s);
    print_times(embree->cross ? times_as_quick(w, embree) : 0);
    print_times(w->before_s > 0 ? w->median_s / w->before_s : 0);
    printf("  %9zu\n", w->crossed);
}

static subject new_subject(const town *t)
{
    subject s = {.town = t};
    const double start_s = bench_seconds();
    if (es_geometry_new(t->panel, t->n, NULL, 0, NULL, 0, &s.geometry)) exit(1);
    const double built_s = bench_seconds();
    s.embree = bench_embree_new(t->panel, t->n);
    printf("%s: %zu walls on %.0f m x %.0f m; built in %.2f ms", t->what, t->n, t->width_m, t->depth_m,
           (built_s - start_s) * 1e3);
    if (s.embree) printf(" (Embree %.2f ms)", (bench_seconds() - built_s) * 1e3);
    putchar('\n');
    return s;
}

static void compare(town t, way *all)
{
    subject s = new_subject(&t);
    for (int i = 0; i < WAYS; i++) all[i].n_segments = i == ONE_BY_ONE && t.n > 10000 ? 128 : t.n_segments;
    if (!s.embree) all[EMBREE].cross = NULL;
    measure(all, &s);
    puts("              ns a segment  ns a wall  M walls/s   x Embree   x before    crossed");
    for (int i = 0; i < WAYS; i++)
        if (all[i].cross) print_way(&all[i], &all[EMBREE]);
    bench_embree_free(s.embree);
    es_geometry_free(s.geometry);
    free_town(&t);
}

int main(void)
{
    way all[WAYS] = {
        [EMBREE] = {.name = "Embree", .cross = cross_embree},
        [FOUND] = {.name = "found", .cross = find_indexed},
        [ANSWERED] = {.name = "answered", .cross = answer_indexed},
        [ONE_BY_ONE] = {.name = "one by one", .cross = cross_each},
    };
    bench_print_machine();
    puts("medians of runs in turn; Embree: how many times as quick; before: how many times the time in the town "
         "before\n");
    compare(new_town("house", 1, 5, 60, SEGMENTS), all);
    compare(new_town("office", 1, 32, 2000, SEGMENTS), all);
    compare(new_town("campus", 50, 32, 2000, SEGMENTS), all);
    return 0;
}
