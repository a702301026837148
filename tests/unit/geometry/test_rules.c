/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each rule of docs/decisions/001-crossings.md by a case worked by hand. */
#include "support/check.h"

#include "base/units.h"
#include "geometry/geometry.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

enum { FEW = 12 };

static es_geometry *walls(const es_panel *panel, size_t n)
{
    es_geometry *geometry;
    assert_int_equal(es_geometry_new(panel, n, NULL, 0, NULL, 0, &geometry), EARSHOT_OK);
    return geometry;
}

static void check_crossings(const es_geometry *geometry, earshot_vec3 a, earshot_vec3 b, size_t n,
                            const earshot_crossing *expected)
{
    earshot_crossing found[FEW];
    size_t n_found;
    assert_int_equal(es_geometry_crossings(geometry, a, b, found, FEW, &n_found), EARSHOT_OK);
    assert_int_equal(n_found, n);
    for (size_t i = 0; i < n; i++) {
        check_close(found[i].distance_m, expected[i].distance_m, 1e-6, "m");
        check_close(found[i].incidence_rad, expected[i].incidence_rad, 1e-9, "rad");
        assert_int_equal(found[i].element, expected[i].element);
        assert_int_equal(found[i].group, expected[i].group);
    }
}

#define EXPECT(geometry, a, b, ...)                                                                                    \
    do {                                                                                                               \
        const earshot_crossing expected_[] = {__VA_ARGS__};                                                            \
        check_crossings((geometry), (earshot_vec3)a, (earshot_vec3)b, COUNT(expected_), expected_);                    \
    } while (0)
#define EXPECT_NONE(geometry, a, b) check_crossings((geometry), (earshot_vec3)a, (earshot_vec3)b, 0, NULL)
#define P(...)                                                                                                         \
    {                                                                                                                  \
        __VA_ARGS__                                                                                                    \
    }

static const double ALONG = ES_PI / 2;

/* A wall from 2,1 to 2,7.3, 0.4 to 2.9 m high. */
static void a_wall_is_crossed_where_the_line_passes_through_it(void **state)
{
    (void)state;
    const es_panel panel = {2, 1, 2, 7.3, 0.4, 2.9, 7, 0, 0.1};
    es_geometry *g = walls(&panel, 1);
    EXPECT(g, P(-1.3, 4.1, 1.7), P(5.2, 4.1, 1.7), {3.3, 0, 7, 0});
    /* Direction 3, 4, 0 of length 5: cosine 0.6. */
    EXPECT(g, P(0.5, 2.2, 1.1), P(3.5, 6.2, 1.1), {2.5, acos(0.6), 7, 0});
    /* Direction 2, 1, 2 of length 3: cosine 2/3. */
    EXPECT(g, P(1, 3.1, 0.9), P(3, 4.1, 2.9), {1.5, acos(2.0 / 3), 7, 0});
    EXPECT_NONE(g, P(-1, 0.9, 1), P(5, 0.9, 1));                         /* beside it */
    EXPECT_NONE(g, P(-1, 4, 3), P(5, 4, 3));                             /* over it */
    EXPECT_NONE(g, P(-1, 4, 0.3), P(5, 4, 0.3));                         /* under it */
    EXPECT_NONE(g, P(-1, 4, 1), P(1.9, 4, 1));                           /* before it */
    EXPECT(g, P(1, 4, 2.9), P(3.5, 4, 2.9), {1, 0, 7, 0});               /* its upper edge */
    EXPECT(g, P(1, 1, 1.3), P(3.5, 1, 1.3), {1, 0, 7, 0});               /* its end */
    EXPECT_NONE(g, P(1, 1 - 2e-7, 1.3), P(3.5, 1 - 2e-7, 1.3));          /* just beside its end */
    EXPECT(g, P(1, 1 - 5e-8, 1.3), P(3.5, 1 - 5e-8, 1.3), {1, 0, 7, 0}); /* within tolerance of its end */
    es_geometry_free(g);
}

static void what_meets_at_one_spot_is_one_group(void **state)
{
    (void)state;
    const es_panel panel[] = {
        {0, 0, 6, 0, 0, 2.5, 0, 0, 0},     {6, 0, 6, 4, 0, 2.5, 1, 0, 0},     /* a corner at 6,0 */
        {0, 4, 2, 4, 0, 2.5, 2, 0, 0},     {2, 4, 2.9, 4, 0, 2.0, 3, 0, 0},   /* wall, door, */
        {2, 4, 2.9, 4, 2.0, 2.5, 4, 0, 0}, {2.9, 4, 6, 4, 0, 2.5, 5, 0, 0},   /* lintel, wall */
        {8, -3, 12, 1, 0, 2.5, 6, 0, 0},   {8, 1, 12, -3, 0, 2.5, 7, 0, 0},   /* two walls cross at 10,-1 */
        {20, 0, 20, 2.2, 0, 2.5, 8, 0, 0}, {20, 2.2, 20, 5, 0, 2.5, 9, 0, 0}, /* one wall in two pieces */
    };
    es_geometry *g = walls(panel, COUNT(panel));
    EXPECT(g, P(5, -1, 1.2), P(7, 1, 1.2), {sqrt(2), ES_PI / 4, 0, 0}, {sqrt(2), ES_PI / 4, 1, 0});
    EXPECT(g, P(2, 3, 1.2), P(2, 6, 1.2), {1, 0, 2, 0}, {1, 0, 3, 0});
    EXPECT(g, P(2.9, 3, 2), P(2.9, 6, 2), {1, 0, 3, 0}, {1, 0, 4, 0}, {1, 0, 5, 0});
    EXPECT(g, P(2.4, 3, 2), P(2.4, 6, 2), {1, 0, 3, 0}, {1, 0, 4, 0});
    EXPECT(g, P(10, -5, 1), P(10, 5, 1), {4, ES_PI / 4, 6, 0}, {4, ES_PI / 4, 7, 0});
    EXPECT(g, P(18, 2.2, 1), P(21, 2.2, 1), {2, 0, 8, 0}, {2, 0, 9, 0});
    /* One spot after the other is another group. */
    EXPECT(g, P(2.4, -1, 2.2), P(2.4, 5, 2.2), {1, 0, 0, 0}, {5, 0, 4, 1});
    es_geometry_free(g);
}

static void along_a_wall_is_one_crossing(void **state)
{
    (void)state;
    const es_panel panel[] = {
        {1, 2, 4, 2, 0, 2.5, 0, 0, 0},   {4, 2, 4.9, 2, 0, 2.0, 1, 0, 0}, {4, 2, 4.9, 2, 2.0, 2.5, 2, 0, 0},
        {4.9, 2, 9, 2, 0, 2.5, 3, 0, 0}, /* a wall with a door in it, from 1,2 to 9,2 */
        {1, 2, 1, 6, 0, 2.5, 4, 0, 0},   /* a corner at its left end */
        {9, -1, 9, 5, 0, 2.5, 5, 0, 0},  /* passes its right end on both sides */
        {3, 2, 3, 6, 0, 2.5, 6, 0, 0},   /* begins on it */
    };
    es_geometry *g = walls(panel, COUNT(panel));
    EXPECT(g, P(0, 2, 1.2), P(11, 2, 1.2), {3, 0, 6, 0}, {5, ALONG, 0, 1}, {5, ALONG, 1, 1}, {5, ALONG, 3, 1},
           {5, 0, 4, 1}, {9, 0, 5, 2});
    /* At the door's head both the door and the lintel are met. */
    EXPECT(g, P(0, 2, 2), P(11, 2, 2), {3, 0, 6, 0}, {5, ALONG, 0, 1}, {5, ALONG, 1, 1}, {5, ALONG, 2, 1},
           {5, ALONG, 3, 1}, {5, 0, 4, 1}, {9, 0, 5, 2});
    /* Fixed to the wall: it is not in the way, what stands on it is. */
    EXPECT(g, P(2, 2, 1.2), P(11, 2, 1.2), {1, 0, 6, 0}, {7, 0, 5, 1});
    EXPECT(g, P(2, 2, 1.2), P(-3, 2, 1.2), {1, 0, 4, 0});
    /* Rising 3 for 4 along: in at the corner, past the partition, out over the lintel at 2.5 m. */
    EXPECT(g, P(-1, 2, -1.3), P(7, 2, 4.7), {(2.5 + 6 + 1.0 / 3) / 2, ALONG, 0, 0},
           {(2.5 + 6 + 1.0 / 3) / 2, ALONG, 2, 0}, {(2.5 + 6 + 1.0 / 3) / 2, acos(0.8), 4, 0}, {5, acos(0.8), 6, 1});
    es_geometry_free(g);
}

/* Rising 1 in 20 the line is within tolerance of the upper edge for 2 um more than it is below it, and so, rising 20 in
 * 1, of the upright edge: neither makes the end of the stretch another place than that of the wall which stands there.
 */
static void a_stretch_ends_where_the_wall_does(void **state)
{
    (void)state;
    const es_panel low[] = {{0, 0, 10, 0, 0, 2, 0, 0, 0}, {6, 0, 6, 3, 0, 2.5, 1, 0, 0}};
    es_geometry *g = walls(low, COUNT(low));
    const double metre = sqrt(1 + 0.05 * 0.05);
    EXPECT(g, P(-14, 0, 1), P(26, 0, 3), {17 * metre, ALONG, 0, 0}, {17 * metre, atan(0.05), 1, 0});
    es_geometry_free(g);
    const es_panel tall[] = {{0, 0, 10, 0, 0, 30, 0, 0, 0}, {0, 0, 0, 3, 0, 40, 1, 0, 0}};
    g = walls(tall, COUNT(tall));
    EXPECT(g, P(-1, 0, 0), P(1, 0, 40), {25 * metre, ALONG, 0, 0}, {25 * metre, atan(20), 1, 0});
    es_geometry_free(g);
}

static void a_wall_that_holds_an_end_is_not_crossed(void **state)
{
    (void)state;
    const es_panel panel[] = {
        {0, 0, 6, 0, 0, 2.5, 0, 0, 0},
        {6, 0, 6, 4, 0, 2.5, 1, 0, 0},
        {0, 3, 6, 3, 0, 2.5, 2, 0, 0},
    };
    es_geometry *g = walls(panel, COUNT(panel));
    EXPECT(g, P(2.3, 0, 1.1), P(2.3, 5, 1.1), {3, 0, 2, 0});
    EXPECT(g, P(2.3, 9e-7, 1.1), P(2.3, -4, 1.1));
    EXPECT(g, P(2.3, 2e-6, 1.1), P(2.3, -4, 1.1), {2e-6, 0, 0, 0});
    EXPECT_NONE(g, P(2.3, 0, 1.1), P(2.3, 3, 1.1));
    EXPECT_NONE(g, P(6, 0, 1.1), P(8, -1, 1.1)); /* the corner: neither wall */
    EXPECT(g, P(6, 3, 1.1), P(4, -1, 1.1), {hypot(1.5, 3), acos(3 / hypot(1.5, 3)), 0, 0});
    es_geometry_free(g);
}

static void a_slab_is_crossed_but_not_in_its_hole(void **state)
{
    (void)state;
    const earshot_point outline[] = {{0, 0}, {10, 0}, {10, 8}, {0, 8}}, stairs[] = {{2, 2}, {5, 2}, {5, 4}, {2, 4}};
    const earshot_point *hole = stairs;
    const size_t n_hole = COUNT(stairs);
    const es_sheet sheet = {outline, COUNT(outline), &hole, &n_hole, 1, 2.6, 0.2, 3, 0};
    const es_panel panel = {6, 1, 6, 7, 0, 2.6, 4, 0, 0};
    es_geometry *g;
    assert_int_equal(es_geometry_new(&panel, 1, &sheet, 1, NULL, 0, &g), EARSHOT_OK);
    EXPECT(g, P(7, 5, 1), P(7, 5, 4), {1.6, 0, 3, 0});
    EXPECT(g, P(7, 5, 1.4), P(8.6, 5, 3.8), {hypot(1.2, 0.8), atan2(1.6, 2.4), 3, 0});
    EXPECT_NONE(g, P(3.3, 3.1, 1), P(3.3, 3.1, 4));
    EXPECT(g, P(3.3, 2, 1), P(3.3, 2, 4), {1.6, 0, 3, 0});   /* edge of the hole */
    EXPECT(g, P(10, 3.3, 1), P(10, 3.3, 4), {1.6, 0, 3, 0}); /* edge of the slab */
    EXPECT_NONE(g, P(10.1, 3.3, 1), P(10.1, 3.3, 4));
    EXPECT_NONE(g, P(7, 5, 2.6), P(7.5, 5.1, 5)); /* fixed to it */
    EXPECT(g, P(5, 5, 1.6), P(7, 5, 3.6), {sqrt(2), ES_PI / 4, 3, 0},
           {sqrt(2), ES_PI / 4, 4, 0});         /* joint with the wall */
    EXPECT(g, P(-2, 6.5, 2.6), P(4, 6.5, 2.6)); /* ends in it */
    EXPECT(g, P(-2, 7.5, 2.6), P(13, 7.5, 2.6), {7, ALONG, 3, 0});
    /* Over the hole: once on each side of it; the wall's upper edge is met on the way. */
    EXPECT(g, P(-2, 3, 2.6), P(13, 3, 2.6), {3, ALONG, 3, 0}, {8, 0, 4, 1}, {9.5, ALONG, 3, 2});
    EXPECT(g, P(-2, 8, 2.6), P(13, 8, 2.6), {7, ALONG, 3, 0}); /* along its edge */
    EXPECT_NONE(g, P(-2, 7.5, 2.7), P(13, 7.5, 2.7));
    es_geometry_free(g);
}

static void a_block_is_crossed_once_for_each_part_inside(void **state)
{
    (void)state;
    /* A U, open to the top of the page, 0.5 to 2 m high. */
    const earshot_point u[] = {{0, 0}, {6, 0}, {6, 4}, {4, 4}, {4, 1}, {2, 1}, {2, 4}, {0, 4}};
    const es_prism prism = {u, COUNT(u), 0.5, 2, 9, 0};
    es_geometry *g;
    assert_int_equal(es_geometry_new(NULL, 0, NULL, 0, &prism, 1, &g), EARSHOT_OK);
    EXPECT(g, P(-1, 2.2, 1.1), P(7, 2.2, 1.1), {2, 0, 9, 0}, {6, 0, 9, 1});
    EXPECT(g, P(-1, 0.3, 1.1), P(7, 0.3, 1.1), {4, 0, 9, 0});
    EXPECT(g, P(-1, 2, 1.1), P(1, 2, 1.1), {1.5, 0, 9, 0});        /* an end inside */
    EXPECT(g, P(0, 2, 1.1), P(-3, 2, 1.1));                        /* fixed to a face, looking away */
    EXPECT(g, P(0, 2, 1.1), P(3, 2, 1.1), {1, 0, 9, 0});           /* and looking through */
    EXPECT(g, P(0.7, 0.2, 1.1), P(0.7, 3.2, 1.1), {1.5, 0, 9, 0}); /* both ends inside: no face met */
    EXPECT_NONE(g, P(-1, 0, 1.1), P(7, 0, 1.1));                   /* along a face */
    EXPECT_NONE(g, P(-1, 2.2, 2), P(7, 2.2, 2));                   /* along its top */
    EXPECT_NONE(g, P(7, -1, 1.1), P(5, 1 - 2, 1.1));
    EXPECT_NONE(g, P(-1, 1, 1.1), P(1, -1, 1.1));      /* touches the corner 0,0 */
    EXPECT(g, P(1, 2, 1), P(1, 2, 5), {0.5, 0, 9, 0}); /* upright, out through the top */
    EXPECT(g, P(1, 2, -1), P(1, 2, 5), {2.25, 0, 9, 0});
    EXPECT_NONE(g, P(3, 2, -1), P(3, 2, 5)); /* upright, in the notch */
    /* In through the side, out through the top, 1 up for 2 along: the top is met at acos(1/sqrt 5), the side at
     * acos(2/sqrt 5), which counts. From -1,2,1 it enters at 1 along and leaves at 2 up to the height of 2. */
    EXPECT(g, P(-1, 3, 1), P(3, 3, 3), {hypot(1.5, 0.75), acos(2 / sqrt(5)), 9, 0});
    es_geometry_free(g);
}

static void upright_and_empty_lines_work(void **state)
{
    (void)state;
    const es_panel panel[] = {
        {0, 0, 4, 0, 0, 2.5, 0, 0, 0}, {4, 0, 4, 3, 0, 2.5, 1, 0, 0}, {0, 0, 4, 0, 2.5, 5, 2, 0, 0}};
    es_geometry *g = walls(panel, COUNT(panel));
    EXPECT_NONE(g, P(1, 1, -1), P(1, 1, 6));
    EXPECT(g, P(1.7, 0, -1), P(1.7, 0, 6), {3.5, ALONG, 0, 0}, {3.5, ALONG, 2, 0});
    EXPECT(g, P(4, 0, -1), P(4, 0, 6), {3.5, ALONG, 0, 0}, {3.5, ALONG, 1, 0}, {3.5, ALONG, 2, 0});
    EXPECT_NONE(g, P(1.7, 0, 1), P(1.7, 0, 6));
    EXPECT_NONE(g, P(1.7, 0, 1), P(1.7, 0, 1));
    EXPECT_NONE(g, P(1.7, 0.1, 1), P(1.7, 0.1, 1));
    EXPECT_NONE(g, P(1.7, -4e-7, 1), P(1.7, 4e-7, 1));
    es_geometry_free(g);
    g = walls(NULL, 0);
    EXPECT_NONE(g, P(1, 2, 3), P(4, 5, 6));
    es_geometry_free(g);
}

/* 120 walls, more than are kept without taking memory. */
static void writes_no_more_than_it_may_and_tells_how_many_there_are(void **state)
{
    (void)state;
    enum { MANY = 120 };
    es_panel panel[MANY];
    for (size_t i = 0; i < MANY; i++)
        panel[i] = (es_panel){1 + 0.1 * (double)i, 0, 1 + 0.1 * (double)i, 3, 0, 2.5, i, 0, 0};
    es_geometry *g = walls(panel, MANY);
    const earshot_vec3 a = {0, 1.1, 1}, b = {20, 1.3, 1.2};
    earshot_crossing all[MANY], some[MANY] = {{0}};
    size_t n = 0;
    assert_int_equal(es_geometry_crossings(g, a, b, all, MANY, &n), EARSHOT_OK);
    assert_int_equal(n, MANY);
    for (size_t i = 0; i < MANY; i++) {
        assert_int_equal(all[i].element, i);
        assert_int_equal(all[i].group, i);
    }
    n = 0;
    assert_int_equal(es_geometry_crossings(g, a, b, NULL, 0, &n), EARSHOT_OK);
    assert_int_equal(n, MANY);
    some[7].element = 4711;
    assert_int_equal(es_geometry_crossings(g, a, b, some, 7, &n), EARSHOT_OK);
    assert_int_equal(n, MANY);
    assert_memory_equal(some, all, 7 * sizeof *all);
    assert_int_equal(some[7].element, 4711);
    assert_int_equal(es_geometry_crossings(g, b, a, some, 7, &n), EARSHOT_OK);
    assert_int_equal(n, MANY);
    assert_int_equal(some[0].element, MANY - 1);
    assert_int_equal(some[0].group, 0);
    es_geometry_free(g);
}

static void refuses_what_is_not_a_place(void **state)
{
    (void)state;
    const double bad[] = {NAN, INFINITY, -INFINITY, 1.1e7, -1e300};
    const es_panel good = {0, 0, 4, 0, 0, 2.5, 0, 0, 0};
    es_geometry *g = walls(&good, 1);
    for (size_t i = 0; i < COUNT(bad); i++) {
        const earshot_vec3 p = {1, 2, 3}, q[] = {{bad[i], 2, 3}, {1, bad[i], 3}, {1, 2, bad[i]}};
        for (size_t k = 0; k < COUNT(q); k++) {
            size_t n = 99;
            assert_int_equal(es_geometry_crossings(g, p, q[k], NULL, 0, &n), EARSHOT_ARGUMENT);
            assert_int_equal(es_geometry_crossings(g, q[k], p, NULL, 0, &n), EARSHOT_ARGUMENT);
            assert_int_equal(n, 99);
        }
        es_panel panel[6];
        for (size_t k = 0; k < COUNT(panel); k++) panel[k] = good;
        panel[0].ax_m = panel[1].ay_m = panel[2].bx_m = panel[3].by_m = panel[4].z0_m = panel[5].z1_m = bad[i];
        for (size_t k = 0; k < COUNT(panel); k++) {
            es_geometry *none = g;
            assert_int_equal(es_geometry_new(&panel[k], 1, NULL, 0, NULL, 0, &none), EARSHOT_ARGUMENT);
            assert_null(none);
        }
        const earshot_point outline[] = {{0, 0}, {2, 0}, {0, 2}}, wrong[] = {{0, 0}, {2, bad[i]}, {0, 2}};
        const earshot_point *hole = wrong;
        const size_t n_hole = 3;
        const es_sheet sheet[] = {{.outline = wrong, .n_outline = 3},
                                  {.outline = outline, .n_outline = 3, .z_m = bad[i]},
                                  {.outline = outline, .n_outline = 3, .hole = &hole, .n_hole = &n_hole, .n_holes = 1}};
        const es_prism prism[] = {{wrong, 3, 0, 1, 0, 0}, {outline, 3, bad[i], 1, 0, 0}, {outline, 3, 0, bad[i], 0, 0}};
        for (size_t k = 0; k < 3; k++) {
            es_geometry *none = g;
            assert_int_equal(es_geometry_new(NULL, 0, &sheet[k], 1, NULL, 0, &none), EARSHOT_ARGUMENT);
            assert_null(none);
            none = g;
            assert_int_equal(es_geometry_new(NULL, 0, NULL, 0, &prism[k], 1, &none), EARSHOT_ARGUMENT);
            assert_null(none);
        }
    }
    es_geometry_free(g);
    es_geometry_free(NULL);
}

static void hands_out_its_parts(void **state)
{
    (void)state;
    const es_panel panel[] = {{0, 0, 4, 0, 0, 2.5, 3, 4, 0.1}, {4, 0, 4, 3, 0, 2.5, 5, 6, 0.2}};
    const earshot_point outline[] = {{0, 0}, {2, 0}, {0, 2}};
    const es_sheet sheet = {.outline = outline, .n_outline = 3, .z_m = 2.6, .element = 8};
    const es_prism prism = {outline, 3, 0, 1, 9, 0};
    es_geometry *g;
    size_t n;
    assert_int_equal(es_geometry_new(panel, 2, &sheet, 1, &prism, 1, &g), EARSHOT_OK);
    assert_memory_equal(es_geometry_panels(g, &n), panel, sizeof panel);
    assert_int_equal(n, 2);
    assert_int_equal(es_geometry_sheets(g, &n)->element, 8);
    assert_int_equal(n, 1);
    assert_int_equal(es_geometry_prisms(g, &n)->element, 9);
    assert_int_equal(n, 1);
    es_geometry_free(g);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_wall_is_crossed_where_the_line_passes_through_it),
        cmocka_unit_test(what_meets_at_one_spot_is_one_group),
        cmocka_unit_test(along_a_wall_is_one_crossing),
        cmocka_unit_test(a_stretch_ends_where_the_wall_does),
        cmocka_unit_test(a_wall_that_holds_an_end_is_not_crossed),
        cmocka_unit_test(a_slab_is_crossed_but_not_in_its_hole),
        cmocka_unit_test(a_block_is_crossed_once_for_each_part_inside),
        cmocka_unit_test(upright_and_empty_lines_work),
        cmocka_unit_test(writes_no_more_than_it_may_and_tells_how_many_there_are),
        cmocka_unit_test(refuses_what_is_not_a_place),
        cmocka_unit_test(hands_out_its_parts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
