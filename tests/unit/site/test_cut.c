/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Walls cut around their doors and windows. */
#include "support/check.h"

#include <stdlib.h>

#include "site/build.h"

enum { WALL = 3, BRICK = 5 };

/* 7.9 m long, from (1.3, 2.1) in the direction (0.8, 0.6), from 0.2 m to 2.7 m. */
static es_panel wall_of(void)
{
    return (es_panel){.ax_m = 1.3,
                      .ay_m = 2.1,
                      .bx_m = 1.3 + 7.9 * 0.8,
                      .by_m = 2.1 + 7.9 * 0.6,
                      .z0_m = 0.2,
                      .z1_m = 2.7,
                      .element = WALL,
                      .material = BRICK,
                      .thickness_m = 0.215};
}

static const double WALL_AREA_M2 = 7.9 * 2.5;

static es_gap gap_of(size_t element, double from_m, double to_m, double z0_m, double z1_m)
{
    return (es_gap){from_m, to_m, z0_m, z1_m, element, element + 100, 0.004};
}

static double area_m2(const es_panel *p)
{
    return hypot(p->bx_m - p->ax_m, p->by_m - p->ay_m) * (p->z1_m - p->z0_m);
}

static double area_of_element_m2(const es_panels *panels, size_t element)
{
    double sum = 0.0;
    for (size_t i = 0; i < panels->n; i++)
        if (panels->item[i].element == element) sum += area_m2(&panels->item[i]);
    return sum;
}

/* Cut, and check what holds for every cut: areas add up, nothing is empty, materials go with elements. */
static es_panels cut(es_gap *gap, size_t n)
{
    const es_panel wall = wall_of();
    es_panels panels = {0};
    double sum = 0.0;
    assert_int_equal(es_site_cut_wall(&wall, gap, n, &panels), EARSHOT_OK);
    for (size_t i = 0; i < panels.n; i++) {
        const es_panel *p = &panels.item[i];
        assert_true(area_m2(p) > 0.0);
        sum += area_m2(p);
        assert_int_equal(p->material, p->element == WALL ? BRICK : p->element + 100);
        check_close(p->thickness_m, p->element == WALL ? 0.215 : 0.004, 0.0, "m");
    }
    check_close(sum, WALL_AREA_M2, 1e-12, "m2");
    return panels;
}

static bool same(double a, double b)
{
    return a >= b && a <= b;
}

static bool shares_end(const es_panel *p, const es_panel *q)
{
    return (same(p->bx_m, q->ax_m) && same(p->by_m, q->ay_m)) || (same(p->ax_m, q->bx_m) && same(p->ay_m, q->by_m));
}

static bool same_ends(const es_panel *p, const es_panel *q)
{
    return same(p->ax_m, q->ax_m) && same(p->ay_m, q->ay_m) && same(p->bx_m, q->bx_m) && same(p->by_m, q->by_m);
}

static bool touches(double p_low, double p_high, double q_low, double q_high)
{
    return same(p_low, q_high) || same(p_high, q_low);
}

/* Every opening in the middle of the wall has neighbours on all sides with the very same edges. */
static void check_shared_edges(const es_panels *panels, size_t element, bool has_below, bool has_above)
{
    bool beside = false, above = false, below = false;
    for (size_t i = 0; i < panels->n; i++) {
        const es_panel *p = &panels->item[i];
        if (p->element != element) continue;
        for (size_t j = 0; j < panels->n; j++) {
            const es_panel *q = &panels->item[j];
            if (i == j) continue;
            if (shares_end(p, q)) beside = true;
            if (same_ends(p, q) && touches(p->z0_m, p->z1_m, q->z0_m, q->z1_m)) {
                if (q->z0_m > p->z0_m) above = true;
                if (q->z0_m < p->z0_m) below = true;
            }
        }
    }
    assert_true(beside);
    assert_int_equal(above, has_above);
    assert_int_equal(below, has_below);
}

static void test_whole_wall_is_one_panel(void **state)
{
    (void)state;
    es_panels panels = cut(NULL, 0);
    assert_int_equal(panels.n, 1);
    free(panels.item);
}

static void test_door_leaves_left_right_and_above(void **state)
{
    (void)state;
    es_gap door = gap_of(11, 2.3, 3.17, 0.2, 2.19);
    es_panels panels = cut(&door, 1);
    assert_int_equal(panels.n, 4);
    check_close(area_of_element_m2(&panels, 11), 0.87 * 1.99, 1e-12, "m2");
    check_shared_edges(&panels, 11, false, true);
    free(panels.item);
}

static void test_window_leaves_a_part_below_too(void **state)
{
    (void)state;
    es_gap window = gap_of(12, 2.3, 3.17, 1.13, 2.31);
    es_panels panels = cut(&window, 1);
    assert_int_equal(panels.n, 5);
    check_close(area_of_element_m2(&panels, 12), 0.87 * 1.18, 1e-12, "m2");
    check_shared_edges(&panels, 12, true, true);
    free(panels.item);
}

static void test_several_openings_in_any_order_some_adjoining(void **state)
{
    (void)state;
    es_gap gaps[] = {gap_of(13, 5.9, 7.1, 1.1, 2.3), gap_of(11, 1.2, 2.1, 0.2, 2.2), gap_of(12, 2.1, 3.4, 1.1, 2.3)};
    es_panels panels = cut(gaps, 3);
    /* wall, door + above, window + below + above, wall, window + below + above, wall */
    assert_int_equal(panels.n, 1 + 2 + 3 + 1 + 3 + 1);
    check_shared_edges(&panels, 11, false, true);
    check_shared_edges(&panels, 12, true, true);
    check_shared_edges(&panels, 13, true, true);
    free(panels.item);
}

/* Drawn by hand, two openings that adjoin may miss each other by a rounding error: no sliver of wall remains. */
static void test_adjoining_within_rounding_leave_no_sliver(void **state)
{
    (void)state;
    es_gap gaps[] = {gap_of(11, 1.2, 2.1 + 3e-13, 0.2, 2.2), gap_of(12, 2.1, 3.4, 0.2, 2.2)};
    es_panels panels = cut(gaps, 2);
    assert_int_equal(panels.n, 6);
    es_gap apart[] = {gap_of(11, 1.2, 2.1 - 3e-13, 0.2, 2.2), gap_of(12, 2.1, 3.4, 0.2, 2.2)};
    es_panels again = cut(apart, 2);
    assert_int_equal(again.n, 6);
    free(panels.item);
    free(again.item);
}

static void test_opening_up_to_the_ends_of_the_wall(void **state)
{
    (void)state;
    es_gap gate = gap_of(11, -0.03, 7.93, 0.2, 2.2); /* drawn 3 cm over both ends */
    es_panels panels = cut(&gate, 1);
    assert_int_equal(panels.n, 2);
    check_close(area_of_element_m2(&panels, 11), 7.9 * 2.0, 1e-12, "m2");
    free(panels.item);
}

static void test_heights_outside_the_wall_are_clipped(void **state)
{
    (void)state;
    es_gap tall = gap_of(11, 2.3, 3.17, 0.0, 3.4), high = gap_of(12, 2.3, 3.17, 2.7, 3.4),
           low = gap_of(13, 2.3, 3.17, -1.0, 0.1);
    es_panels panels = cut(&tall, 1);
    check_close(area_of_element_m2(&panels, 11), 0.87 * 2.5, 1e-12, "m2");
    assert_int_equal(panels.n, 3);
    free(panels.item);
    panels = cut(&high, 1);
    assert_int_equal(panels.n, 1);
    free(panels.item);
    panels = cut(&low, 1);
    assert_int_equal(panels.n, 1);
    free(panels.item);
}

/* A light above a door: one column, two openings. */
static void test_one_above_the_other(void **state)
{
    (void)state;
    es_gap gaps[] = {gap_of(12, 2.3, 3.17, 2.19, 2.5), gap_of(11, 2.3, 3.17, 0.2, 2.19)};
    es_panels panels = cut(gaps, 2);
    assert_int_equal(panels.n, 5);
    check_close(area_of_element_m2(&panels, 11), 0.87 * 1.99, 1e-12, "m2");
    check_close(area_of_element_m2(&panels, 12), 0.87 * 0.31, 1e-12, "m2");
    free(panels.item);
}

/* What overlaps is there once: the lower opening keeps its height. */
static void test_overlapping_openings_count_once(void **state)
{
    (void)state;
    es_gap gaps[] = {gap_of(11, 2.3, 3.9, 0.2, 2.2), gap_of(12, 3.1, 4.7, 1.1, 2.4)};
    es_panels panels = cut(gaps, 2);
    check_close(area_of_element_m2(&panels, 11), 1.6 * 2.0, 1e-12, "m2");
    check_close(area_of_element_m2(&panels, 12), 0.8 * 1.3 + 0.8 * 0.2, 1e-12, "m2");
    free(panels.item);
}

static void test_a_wall_of_no_extent_has_no_panels(void **state)
{
    (void)state;
    es_panel wall = wall_of();
    es_panels panels = {0};
    wall.z1_m = wall.z0_m;
    assert_int_equal(es_site_cut_wall(&wall, NULL, 0, &panels), EARSHOT_OK);
    wall = wall_of();
    wall.bx_m = wall.ax_m;
    wall.by_m = wall.ay_m;
    assert_int_equal(es_site_cut_wall(&wall, NULL, 0, &panels), EARSHOT_OK);
    assert_int_equal(panels.n, 0);
}

/* Random openings, many of them overlapping: areas add up (cut() checks it) and the openings' ends never move. */
static void test_random_openings(void **state)
{
    (void)state;
    uint64_t seed = 20240817;
    for (int round = 0; round < 400; round++) {
        es_gap gaps[12];
        for (size_t i = 0; i < 12; i++) {
            double r[4];
            for (size_t k = 0; k < 4; k++) {
                seed = seed * 6364136223846793005u + 1442695040888963407u;
                r[k] = (double)(seed >> 40) / (double)(1u << 24);
            }
            const double from = 9.0 * r[0] - 0.5, z0 = 3.0 * r[2];
            gaps[i] = gap_of(20 + i, from, from + 0.2 + 2.0 * r[1], z0, z0 + 0.1 + r[3]);
        }
        es_panels panels = cut(gaps, 12);
        free(panels.item);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_whole_wall_is_one_panel),
        cmocka_unit_test(test_door_leaves_left_right_and_above),
        cmocka_unit_test(test_window_leaves_a_part_below_too),
        cmocka_unit_test(test_several_openings_in_any_order_some_adjoining),
        cmocka_unit_test(test_adjoining_within_rounding_leave_no_sliver),
        cmocka_unit_test(test_opening_up_to_the_ends_of_the_wall),
        cmocka_unit_test(test_heights_outside_the_wall_are_clipped),
        cmocka_unit_test(test_one_above_the_other),
        cmocka_unit_test(test_overlapping_openings_count_once),
        cmocka_unit_test(test_a_wall_of_no_extent_has_no_panels),
        cmocka_unit_test(test_random_openings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
