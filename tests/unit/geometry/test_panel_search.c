/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sites with so many walls that the index has many cells: what else there is changes nothing, nor does the processor,
 * nor how many walls a line crosses. */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "geometry/hit.h"
#include "unit/geometry/sites.h"

enum { CROSSINGS = 4096 };

static test_site site, moved;
static earshot_crossing alone[CROSSINGS], among[CROSSINGS];

static const test_move MOVES[] = {
    {false, 0, 0, 0, 0},
    {false, 0, 98304.25, -131072.5, 0},
    {false, 0.52359877559829887, 0, 0, 0},
    {true, 2.39637, 5123.456, 99876.543, 0},
};

/* The panels of a site and, far above them, many short ones that make the cells of the index small: their borders run
 * through the site, often along its lattice. */
static es_geometry *with_many_more(const test_site *of, const test_move *move, size_t more, uint64_t *random)
{
    es_panel *panel = calloc(of->n_panels + more, sizeof *panel);
    assert_non_null(panel);
    memcpy(panel, of->panel, of->n_panels * sizeof *panel);
    for (size_t i = 0; i < more; i++) {
        const earshot_vec3 p = {0.25 * test_pick(random, -4, 20), 0.25 * test_pick(random, -4, 20), 0};
        const earshot_vec3 q = {p.x_m + 0.25 * test_pick(random, -2, 2), p.y_m + 0.25 * test_pick(random, -2, 2), 0};
        const earshot_vec3 a = test_moved(move, p), b = test_moved(move, q);
        panel[of->n_panels + i] =
            (es_panel){.ax_m = a.x_m, .ay_m = a.y_m, .bx_m = b.x_m, .by_m = b.y_m, .z0_m = 70, .z1_m = 73.1};
    }
    es_geometry *geometry;
    assert_int_equal(
        es_geometry_new(panel, of->n_panels + more, of->sheet, of->n_sheets, of->prism, of->n_prisms, &geometry),
        EARSHOT_OK);
    free(panel);
    return geometry;
}

static void finds_the_same_among_many_other_walls(void **state)
{
    (void)state;
    uint64_t random = 60221;
    size_t crossings = 0, cells = 0;
    for (int round = 0; round < 800; round++) {
        const test_move *move = &MOVES[(size_t)round % (sizeof MOVES / sizeof *MOVES)];
        test_lattice_site(&site, &random);
        test_move_site(move, &site, &moved);
        es_geometry *few = test_geometry(&moved), *many = with_many_more(&moved, move, 700, &random);
        cells += (size_t)many->grid.rows * many->grid.columns;
        for (int k = 0; k < 20; k++) {
            earshot_vec3 a, b;
            size_t n_few, n_many;
            test_lattice_line(&site, &random, &a, &b);
            a = test_moved(move, a);
            b = test_moved(move, b);
            assert_int_equal(es_geometry_crossings(few, a, b, alone, CROSSINGS, &n_few), EARSHOT_OK);
            assert_int_equal(es_geometry_crossings(many, a, b, among, CROSSINGS, &n_many), EARSHOT_OK);
            assert_int_equal(n_few, n_many);
            assert_memory_equal(alone, among, n_few * sizeof *alone);
            crossings += n_few;
        }
        es_geometry_free(few);
        es_geometry_free(many);
    }
    assert_true(crossings > 30000);
    assert_true(cells > 800 * 30); /* else nothing is tested */
}

static void search(const es_geometry *geometry, es_panel_search *how, earshot_vec3 a, earshot_vec3 b, es_passes *passes,
                   es_hits *hits)
{
    es_line line;
    es_line_start(&line, &a, &b);
    passes->n = 0;
    es_hits_start(hits);
    assert_true(how(geometry, &line, passes, hits));
}

static void answers_the_same_on_any_processor(void **state)
{
    (void)state;
    uint64_t random = 13807;
    size_t passes = 0, hits = 0;
    for (int round = 0; round < 60; round++) {
        test_loose_site(&site, &random);
        es_geometry *geometry = with_many_more(&site, &MOVES[0], round % 2 ? 0 : 400, &random);
        for (int k = 0; k < 300; k++) {
            static es_passes plain, best;
            static es_hits plain_hits, best_hits;
            earshot_vec3 a, b;
            if (k % 3 == 0)
                test_lattice_line(&site, &random, &a, &b);
            else
                test_loose_line(&random, &a, &b);
            if (a.x_m == b.x_m && a.y_m == b.y_m && a.z_m == b.z_m) continue;
            search(geometry, es_panel_search_plain, a, b, &plain, &plain_hits);
            search(geometry, es_panel_search_best(), a, b, &best, &best_hits);
            assert_int_equal(plain.n, best.n);
            assert_memory_equal(plain.at_m, best.at_m, plain.n * sizeof *plain.at_m);
            assert_memory_equal(plain.piece, best.piece, plain.n * sizeof *plain.piece);
            assert_int_equal(plain_hits.n, best_hits.n);
            for (size_t i = 0; i < plain_hits.n; i++) assert_int_equal(plain_hits.hit[i].part, best_hits.hit[i].part);
            passes += plain.n;
            hits += plain_hits.n;
            es_hits_free(&plain_hits);
            es_hits_free(&best_hits);
        }
        es_geometry_free(geometry);
    }
    assert_true(passes > 10000);
    assert_true(hits > 500);
}

/* Parallel walls 0.7 m apart, met at an angle: more than are kept at hand, and in many cells. */
static void finds_all_however_many(void **state)
{
    (void)state;
    enum { WALLS = 2500 };
    const earshot_vec3 a = {-1.3, -3.7, 1.9}, b = {0.7 * WALLS + 4.4, 31.9, 0.4};
    const double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m, dz = b.z_m - a.z_m;
    const double length_m = sqrt(dx * dx + dy * dy + dz * dz), angle = acos(dx / length_m);
    es_panel *wall = calloc(WALLS, sizeof *wall);
    assert_non_null(wall);
    for (size_t n = 1; n <= WALLS; n = n * 3 / 2 + 1) {
        for (size_t i = 0; i < n; i++) {
            const double x_m = 0.7 * (double)i;
            wall[i] = (es_panel){.ax_m = x_m, .ay_m = -9.1, .bx_m = x_m, .by_m = 44.4, .z1_m = 2.5, .element = i};
        }
        es_geometry *geometry;
        assert_int_equal(es_geometry_new(wall, n, NULL, 0, NULL, 0, &geometry), EARSHOT_OK);
        size_t there = 0, back = 0;
        assert_int_equal(es_geometry_crossings(geometry, a, b, alone, CROSSINGS, &there), EARSHOT_OK);
        assert_int_equal(es_geometry_crossings(geometry, b, a, among, CROSSINGS, &back), EARSHOT_OK);
        assert_int_equal(there, n);
        assert_int_equal(back, n);
        for (size_t i = 0; i < n; i++) {
            assert_int_equal(alone[i].element, i);
            assert_int_equal(alone[i].group, i);
            check_close(alone[i].distance_m, (0.7 * (double)i - a.x_m) / dx * length_m, 1e-9, "m");
            check_close(alone[i].incidence_rad, angle, 1e-9, "rad");
            assert_int_equal(among[n - 1 - i].element, i);
            assert_int_equal(among[i].group, i);
            assert_true(among[n - 1 - i].distance_m == length_m - alone[i].distance_m);
        }
        es_geometry_free(geometry);
    }
    free(wall);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(finds_the_same_among_many_other_walls),
        cmocka_unit_test(answers_the_same_on_any_processor),
        cmocka_unit_test(finds_all_however_many),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
