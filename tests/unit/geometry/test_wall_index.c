/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The grid by itself: it misses nothing, repeats nothing in a row, and stays small whatever the plan is like. */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "geometry/wall_index.h"
#include "unit/geometry/sites.h"

static es_footprint segment(double x_m, double y_m, double length_m, double angle_rad)
{
    return (es_footprint){x_m, y_m, x_m + length_m * cos(angle_rad), y_m + length_m * sin(angle_rad), false};
}

typedef struct plan {
    es_footprint *item;
    size_t n;
    es_arena *arena;
    es_grid grid;
} plan;

static plan new_plan(size_t n)
{
    plan p = {.item = calloc(n, sizeof *p.item), .n = n, .arena = es_arena_new()};
    assert_true(p.item && p.arena);
    return p;
}

static void build(plan *p)
{
    assert_true(es_grid_build(&p->grid, p->item, p->n, p->arena));
    assert_true(p->grid.n_entries <= 8 * p->n + 64);
    assert_true((size_t)p->grid.rows * p->grid.columns <= 8 * p->n + 64);
}

static void free_plan(plan *p)
{
    free(p->item);
    es_arena_free(p->arena);
}

/* Ask as crossing.c does; counts what is looked at. seen: [n], set for each item met. */
static size_t look(const plan *p, const es_footprint *line, bool *seen)
{
    size_t looked = 0;
    memset(seen, 0, p->n);
    bool *in_row = calloc(p->n, 1);
    assert_non_null(in_row);
    es_grid_walk walk = es_grid_walk_start(&p->grid, line);
    while (es_grid_walk_row(&walk)) {
        const uint32_t *start = p->grid.start + (size_t)walk.row * p->grid.columns;
        memset(in_row, 0, p->n);
        for (uint32_t i = start[walk.first]; i < start[walk.last + 1]; i++) {
            if (i >= start[walk.first + 1] && p->grid.entry[i] % 2 == 0) continue;
            const size_t item = p->grid.entry[i] / 2;
            assert_false(in_row[item]);
            seen[item] = in_row[item] = true;
            looked++;
        }
    }
    free(in_row);
    return looked;
}

/* Do two segments come within a tolerance of each other? */
static bool close_by(const es_footprint *e, const es_footprint *f, double tolerance_m)
{
    const earshot_point ea = {e->ax_m, e->ay_m}, eb = {e->bx_m, e->by_m};
    const earshot_point fa = {f->ax_m, f->ay_m}, fb = {f->bx_m, f->by_m};
    if (es_segment_distance_m(ea, eb, fa, NULL) <= tolerance_m ||
        es_segment_distance_m(ea, eb, fb, NULL) <= tolerance_m)
        return true;
    if (es_segment_distance_m(fa, fb, ea, NULL) <= tolerance_m ||
        es_segment_distance_m(fa, fb, eb, NULL) <= tolerance_m)
        return true;
    const double ux = eb.x_m - ea.x_m, uy = eb.y_m - ea.y_m, vx = fb.x_m - fa.x_m, vy = fb.y_m - fa.y_m;
    const double down = ux * vy - uy * vx, wx = fa.x_m - ea.x_m, wy = fa.y_m - ea.y_m;
    if (fabs(down) <= 1e-9 * hypot(ux, uy) * hypot(vx, vy)) return false; /* parallel: the ends told */
    const double s = (wx * vy - wy * vx) / down, t = (wx * uy - wy * ux) / down;
    return s >= 0 && s <= 1 && t >= 0 && t <= 1;
}

static void check_finds_all(const plan *p, const es_footprint *line)
{
    bool *seen = calloc(p->n, 1);
    assert_non_null(seen);
    look(p, line, seen);
    for (size_t i = 0; i < p->n; i++) {
        if (seen[i] || !close_by(&p->item[i], line, ES_SPOT_M)) continue;
        print_error("from %.17g,%.17g to %.17g,%.17g\n", line->ax_m, line->ay_m, line->bx_m, line->by_m);
        print_error("missed %zu: %.17g,%.17g %.17g,%.17g\n", i, p->item[i].ax_m, p->item[i].ay_m, p->item[i].bx_m,
                    p->item[i].by_m);
        fail();
    }
    free(seen);
}

/* Corners of cells lie on sums of the same steps, so walls and lines often run along the edges of cells. */
static void misses_nothing(void **state)
{
    (void)state;
    uint64_t random = 90125;
    for (int round = 0; round < 200; round++) {
        plan p = new_plan((size_t)test_pick(&random, 1, 300));
        const double step_m = test_pick(&random, 0, 1) ? 0.5 : 0.1, far_m = test_pick(&random, 0, 1) ? 0 : 123456.7;
        for (size_t i = 0; i < p.n; i++)
            p.item[i] = segment(far_m + step_m * test_pick(&random, 0, 40), far_m + step_m * test_pick(&random, 0, 40),
                                step_m * test_pick(&random, 0, 9), ES_PI / 4 * test_pick(&random, 0, 7));
        build(&p);
        for (int k = 0; k < 30; k++) {
            const es_footprint line = {
                far_m + step_m * test_pick(&random, -9, 49), far_m + step_m * test_pick(&random, -9, 49),
                far_m + step_m * test_pick(&random, -9, 49), far_m + step_m * test_pick(&random, -9, 49), false};
            check_finds_all(&p, &line);
            /* Almost level and almost upright ones. */
            check_finds_all(&p, &(es_footprint){line.ax_m, line.ay_m, line.bx_m, line.ay_m + 1e-10, false});
            check_finds_all(&p, &(es_footprint){line.ax_m, line.ay_m, line.ax_m + 1e-10, line.by_m, false});
            check_finds_all(&p, &(es_footprint){line.ax_m, line.ay_m, line.ax_m, line.ay_m, false});
        }
        free_plan(&p);
    }
}

static void finds_boxes_from_inside_and_outside(void **state)
{
    (void)state;
    uint64_t random = 2112;
    plan p = new_plan(80);
    for (size_t i = 0; i < p.n; i++) {
        const double x_m = random_between(&random, 0, 60), y_m = random_between(&random, 0, 60);
        p.item[i] = (es_footprint){x_m, y_m, x_m + random_between(&random, 0.2, 30),
                                   y_m + random_between(&random, 0.2, 3), true};
    }
    build(&p);
    bool *seen = calloc(p.n, 1);
    assert_non_null(seen);
    for (int k = 0; k < 2000; k++) {
        const double x_m = random_between(&random, 0, 90), y_m = random_between(&random, 0, 64);
        look(&p, &(es_footprint){x_m, y_m, x_m + 0.01, y_m + 0.01, false}, seen);
        for (size_t i = 0; i < p.n; i++) {
            const es_footprint *b = &p.item[i];
            if (x_m >= b->ax_m && x_m <= b->bx_m && y_m >= b->ay_m && y_m <= b->by_m) assert_true(seen[i]);
        }
    }
    free(seen);
    free_plan(&p);
}

/* How many of n footprints a line of 10 m through the middle of a house looks at. */
static size_t cost_at_home(const plan *p)
{
    bool *seen = calloc(p->n, 1);
    assert_non_null(seen);
    const size_t looked = look(p, &(es_footprint){3, 4, 11, 10, false}, seen);
    free(seen);
    return looked;
}

/* 2,000 walls on 40 m by 40 m. */
static plan office(size_t more)
{
    uint64_t random = 33;
    plan p = new_plan(2000 + more);
    for (size_t i = 0; i < 2000; i++)
        p.item[i] = segment(random_between(&random, 0, 40), random_between(&random, 0, 40),
                            random_between(&random, 0.5, 4), ES_PI / 2 * test_pick(&random, 0, 3));
    return p;
}

static void looks_at_few_whatever_else_there_is(void **state)
{
    (void)state;
    plan alone = office(0), shed = office(1), fence = office(1), sheds = office(5);
    build(&alone);
    const size_t usual = cost_at_home(&alone);
    assert_true(usual < 200);
    /* A shed 100 km away, a fence of 100 km, and five sheds at growing distances. */
    shed.item[2000] = segment(1e5, -1e5, 3, 1);
    build(&shed);
    assert_true(cost_at_home(&shed) < usual + usual / 2);
    fence.item[2000] = segment(-5e4, 20, 1e5, 0);
    build(&fence);
    assert_true(cost_at_home(&fence) < usual + usual / 2);
    check_finds_all(&fence, &(es_footprint){30000, 0, 30001, 50, false});
    for (size_t i = 0; i < 5; i++) sheds.item[2000 + i] = segment(100 * pow(10, (double)i), 77, 3, 1);
    build(&sheds);
    assert_true(cost_at_home(&sheds) < usual + usual / 2);
    check_finds_all(&sheds, &(es_footprint){-20, 78, 1e6 + 20, 78, false});
    free_plan(&alone);
    free_plan(&shed);
    free_plan(&fence);
    free_plan(&sheds);
}

static void stays_small(void **state)
{
    (void)state;
    uint64_t random = 1001;
    plan p = new_plan(100000);
    for (size_t i = 0; i < p.n; i++) p.item[i] = segment(7.7, 3.3, 0.9, 0.3); /* all at one spot */
    build(&p);
    for (size_t i = 0; i < p.n; i++) p.item[i] = segment(7.7, 3.3, 0, 0); /* all one point */
    build(&p);
    for (size_t i = 0; i < p.n; i++) p.item[i] = segment(5, 0.2 * (double)i, 0.2, ES_PI / 2); /* one long row */
    build(&p);
    for (size_t i = 0; i < p.n; i++) p.item[i] = segment(0, 0, 5000, 1e-5 * (double)i); /* a fan */
    build(&p);
    for (size_t i = 0; i < p.n; i++) /* boxes that cover everything */
        p.item[i] = (es_footprint){-1e-3 * (double)i, -1e-3 * (double)i, 1e-3 * (double)i, 1e-3 * (double)i, true};
    build(&p);
    for (size_t i = 0; i < p.n; i++) /* lengths from 1 cm to 1 km */
        p.item[i] = segment(random_between(&random, 0, 1000), random_between(&random, 0, 1000),
                            pow(10, random_between(&random, -2, 3)), random_between(&random, 0, 6.3));
    build(&p);
    free_plan(&p);
    plan none = {.arena = es_arena_new()};
    build(&none);
    free_plan(&none);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(misses_nothing),
        cmocka_unit_test(finds_boxes_from_inside_and_outside),
        cmocka_unit_test(looks_at_few_whatever_else_there_is),
        cmocka_unit_test(stays_small),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
