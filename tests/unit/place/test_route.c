/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cable routes against cases drawn by hand. The grid is 0.25 m: a length may be off by what lies between a place and
 * the nearest centres of cells at both ends, and at each corner. */
#include "support/check.h"

#include <string.h>

#include "decide/route.h"
#include "decide/route_faces.h"

enum { MOST = 64 };

#define TOLERANCE_M 0.6 /* two ends and two corners on a grid of 0.25 m */

typedef struct drawn {
    es_panel panel[MOST];
    es_sheet sheet[4];
    es_prism prism[4];
    earshot_point corner[4][8];
    size_t n_panels, n_sheets, n_prisms, n_elements;
    unsigned char barrier[MOST];
    es_deck deck[3];
    size_t n_decks;
    es_route_prices prices;
    es_geometry *geometry;
    es_route_grid *grid;
} drawn;

static void add_wall(drawn *d, double ax, double ay, double bx, double by, double z0, double z1, es_barrier barrier)
{
    d->barrier[d->n_elements] = (unsigned char)barrier;
    d->panel[d->n_panels++] = (es_panel){ax, ay, bx, by, z0, z1, d->n_elements++, 0, 0.1};
}

static void add_room(drawn *d, double x0, double y0, double x1, double y1, double z0, double z1)
{
    add_wall(d, x0, y0, x1, y0, z0, z1, ES_BARRIER_DRILL);
    add_wall(d, x1, y0, x1, y1, z0, z1, ES_BARRIER_DRILL);
    add_wall(d, x1, y1, x0, y1, z0, z1, ES_BARRIER_DRILL);
    add_wall(d, x0, y1, x0, y0, z0, z1, ES_BARRIER_DRILL);
}

static const earshot_point *rectangle(earshot_point *corner, double x0, double y0, double x1, double y1)
{
    corner[0] = (earshot_point){x0, y0};
    corner[1] = (earshot_point){x1, y0};
    corner[2] = (earshot_point){x1, y1};
    corner[3] = (earshot_point){x0, y1};
    return corner;
}

static void add_slab(drawn *d, double x0, double y0, double x1, double y1, double z)
{
    d->barrier[d->n_elements] = ES_BARRIER_DRILL;
    d->sheet[d->n_sheets] = (es_sheet){.outline = rectangle(d->corner[d->n_sheets], x0, y0, x1, y1),
                                       .n_outline = 4,
                                       .z_m = z,
                                       .element = d->n_elements++};
    d->n_sheets++;
}

static void begin(drawn *d)
{
    memset(d, 0, sizeof *d);
    d->deck[0] = (es_deck){0.0, 2.5};
    d->n_decks = 1;
    d->prices = (es_route_prices){1.0, 2.0, 5.0, 10.0, 20.0};
}

static void finish(drawn *d, double x1, double y1)
{
    assert_int_equal(es_geometry_new(d->panel, d->n_panels, d->sheet, d->n_sheets, d->prism, d->n_prisms, &d->geometry),
                     EARSHOT_OK);
    const es_route_site site = {d->geometry, d->barrier, d->n_elements, d->deck, d->n_decks,
                                {0.0, 0.0},  {x1, y1},   d->prices,     0.25,    100000};
    assert_int_equal(es_route_grid_new(&site, &d->grid), EARSHOT_OK);
    check_close(es_route_grid_cell_m(d->grid), 0.25, 0.0, "m");
}

static void end(drawn *d)
{
    es_route_grid_free(d->grid);
    es_geometry_free(d->geometry);
}

/* The route between two places, which must cost the same both ways and be as long as its corners are apart. */
static es_route route_of(const drawn *d, earshot_vec3 from, earshot_vec3 to)
{
    es_route_tree *tree, *back;
    es_route route;
    assert_int_equal(es_route_tree_new(d->grid, from, &tree), EARSHOT_OK);
    assert_int_equal(es_route_tree_new(d->grid, to, &back), EARSHOT_OK);
    assert_int_equal(es_route_trace(tree, to, &route), EARSHOT_OK);
    check_close(es_route_cost(back, from), route.cost, 1e-9, "units");
    check_close(es_route_cost(tree, to), route.cost, 0.0, "units");
    double length = 0.0;
    for (size_t i = 1; i < route.n_points; i++)
        length += sqrt(pow(route.point[i].x_m - route.point[i - 1].x_m, 2) +
                       pow(route.point[i].y_m - route.point[i - 1].y_m, 2) +
                       pow(route.point[i].z_m - route.point[i - 1].z_m, 2));
    check_close(route.length_m, length, 1e-9, "m");
    check_close(route.point[0].x_m, from.x_m, 0.0, "m");
    check_close(route.point[route.n_points - 1].y_m, to.y_m, 0.0, "m");
    es_route_tree_free(tree);
    es_route_tree_free(back);
    return route;
}

static earshot_vec3 at(double x, double y, double z)
{
    return (earshot_vec3){x, y, z};
}

static void check_route(const drawn *d, earshot_vec3 from, earshot_vec3 to, double length_m, unsigned walls,
                        unsigned slabs)
{
    es_route route = route_of(d, from, to);
    check_close(route.length_m, length_m, TOLERANCE_M, "m");
    assert_int_equal(route.n_walls, walls);
    assert_int_equal(route.n_slabs, slabs);
    assert_int_equal(route.n_elements, walls + slabs);
    es_route_clear(&route);
}

static void test_along_one_wall(void **state)
{
    (void)state;
    drawn d;
    begin(&d);
    add_room(&d, 0, 0, 10, 8, 0, 2.5);
    finish(&d, 10, 8);
    check_route(&d, at(2.1, 0.06, 2.4), at(7.3, 0.06, 2.4), 5.2, 0, 0);
    /* 1.3 m and 1.0 m down from the cable's height, 2.4 m */
    check_route(&d, at(2.1, 0.06, 1.1), at(7.3, 0.06, 1.4), 5.2 + 1.3 + 1.0, 0, 0);
    end(&d);
}

static void test_around_the_corner_rather_than_across(void **state)
{
    (void)state;
    drawn d;
    begin(&d);
    add_room(&d, 0, 0, 10, 8, 0, 2.5);
    finish(&d, 10, 8);
    /* 5 m and 6 m along the walls cost 11; straight across is 7.8 m and costs 15.6 */
    check_route(&d, at(5.0, 0.06, 2.4), at(9.94, 6.0, 2.4), 11.0, 0, 0);
    end(&d);
}

static void test_across_when_around_is_too_far(void **state)
{
    (void)state;
    drawn d;
    begin(&d);
    add_room(&d, 0, 0, 7, 24, 0, 2.5);
    finish(&d, 7, 24);
    /* 12 + 7 + 12 m around, 7 m at twice the price across */
    check_route(&d, at(0.06, 12.1, 2.4), at(6.94, 12.1, 2.4), 7.0, 0, 0);
    end(&d);
}

static void test_drills_what_is_in_the_way(void **state)
{
    (void)state;
    drawn d;
    begin(&d);
    add_room(&d, 0, 0, 10, 4, 0, 2.5);
    add_wall(&d, 5, 0, 5, 4, 0, 2.5, ES_BARRIER_DRILL);
    finish(&d, 10, 4);
    check_route(&d, at(2.2, 0.06, 2.4), at(8.1, 0.06, 2.4), 5.9, 1, 0);
    end(&d);
    /* the same wall with a way round its end costs no hole: 3.3 m up, 5.9 m along, 3.3 m down */
    begin(&d);
    add_room(&d, 0, 0, 10, 4, 0, 2.5);
    add_wall(&d, 5, 0, 5, 3.3, 0, 2.5, ES_BARRIER_DRILL);
    add_wall(&d, 5, 3.3, 5, 4, 0, 2.5, ES_BARRIER_NONE);
    d.prices.drilled_wall = 50.0;
    finish(&d, 10, 4);
    check_route(&d, at(4.9, 0.5, 2.4), at(5.1, 0.5, 2.4), 6.0, 0, 0);
    end(&d);
}

static void test_goes_over_what_is_low_and_beside_what_is_shut(void **state)
{
    (void)state;
    drawn d;
    begin(&d);
    add_room(&d, 0, 0, 10, 4, 0, 2.5);
    add_wall(&d, 5, 0, 5, 4, 0, 1.2, ES_BARRIER_DRILL); /* breast-high */
    finish(&d, 10, 4);
    check_route(&d, at(2.2, 0.06, 2.4), at(8.1, 0.06, 2.4), 5.9, 0, 0);
    end(&d);
    begin(&d);
    add_room(&d, 0, 0, 10, 4, 0, 2.5);
    add_wall(&d, 5, 0, 5, 3, 0, 2.5, ES_BARRIER_SHUT); /* glass from floor to ceiling */
    add_wall(&d, 5, 3, 5, 4, 0, 2.5, ES_BARRIER_DRILL);
    finish(&d, 10, 4);
    check_route(&d, at(4.9, 0.5, 2.4), at(5.1, 0.5, 2.4), 2.6 + 2.6 + 0.2, 1, 0);
    end(&d);
}

static void two_storeys(drawn *d, bool stairs)
{
    static const earshot_point WELL[] = {{8.0, 5.0}, {9.5, 5.0}, {9.5, 7.5}, {8.0, 7.5}};
    static const earshot_point *const HOLE = WELL;
    static const size_t CORNERS = 4;
    begin(d);
    add_room(d, 0, 0, 10, 8, 0, 2.5);
    add_room(d, 0, 0, 10, 8, 2.7, 5.2);
    add_slab(d, 0, 0, 10, 8, 2.6);
    if (stairs) {
        d->sheet[0].hole = &HOLE;
        d->sheet[0].n_hole = &CORNERS;
        d->sheet[0].n_holes = 1;
        d->prices.drilled_slab = 200.0;
    }
    d->deck[1] = (es_deck){2.7, 2.5};
    d->n_decks = 2;
    finish(d, 10, 8);
}

static void test_up_through_the_slab_or_the_stairwell(void **state)
{
    (void)state;
    drawn d;
    two_storeys(&d, false);
    /* cables run at 2.4 and 5.1 m */
    check_route(&d, at(2.0, 0.06, 2.4), at(6.0, 0.06, 5.1), 4.0 + 2.7, 0, 1);
    end(&d);
    two_storeys(&d, true);
    es_route route = route_of(&d, at(2.0, 0.06, 2.4), at(2.0, 0.06, 5.1));
    assert_int_equal(route.n_slabs, 0);
    assert_true(route.length_m > 2.7 + 2.0 * 6.0); /* to the stairs and back */
    es_route_clear(&route);
    end(&d);
}

static void test_outdoor_metres_between_buildings(void **state)
{
    (void)state;
    drawn d;
    begin(&d);
    add_room(&d, 0, 0, 6, 5, 0, 2.5);
    add_room(&d, 14, 0, 19, 5, 0, 2.5);
    finish(&d, 19, 5);
    es_route route = route_of(&d, at(5.94, 2.5, 2.4), at(14.06, 2.5, 2.4));
    check_close(route.outdoor_m, 8.0, 0.3, "m");
    check_close(route.length_m, 8.12, TOLERANCE_M, "m");
    assert_int_equal(route.n_walls, 2);
    assert_int_equal(route.n_elements, 2);
    assert_int_equal(route.element[0], 1); /* east wall of the first, west wall of the second */
    assert_int_equal(route.element[1], 7);
    es_route_clear(&route);
    end(&d);
}

static void test_a_roof_without_walls_is_not_outdoors(void **state)
{
    (void)state;
    drawn d;
    begin(&d);
    add_room(&d, 0, 0, 6, 5, 0, 2.5);
    add_room(&d, 14, 0, 19, 5, 0, 2.5);
    add_slab(&d, 6, 0, 14, 5, 2.6);
    finish(&d, 19, 5);
    es_route route = route_of(&d, at(5.94, 2.5, 2.4), at(14.06, 2.5, 2.4));
    check_close(route.outdoor_m, 0.0, 1e-9, "m");
    es_route_clear(&route);
    end(&d);
}

static void test_out_of_a_block_takes_a_hole(void **state)
{
    (void)state;
    drawn d;
    begin(&d);
    add_room(&d, 0, 0, 10, 8, 0, 2.5);
    const size_t block = d.n_elements++;
    d.barrier[block] = ES_BARRIER_DRILL;
    for (int tall = 0; tall < 2; tall++) {
        d.prism[0] = (es_prism){
            .outline = rectangle(d.corner[3], 4, 3, 6, 5), .n_outline = 4, .z1_m = tall ? 2.5 : 1.8, .element = block};
        d.n_prisms = 1;
        finish(&d, 10, 8);
        es_route route = route_of(&d, at(5.0, 4.0, 0.9), at(5.0, 0.06, 2.4));
        assert_int_equal(route.n_walls, 1);
        check_close(route.length_m, 1.5 + 3.94, TOLERANCE_M, "m");
        es_route_clear(&route);
        end(&d);
    }
}

static void test_drilling_at_a_corner_counts_once(void **state)
{
    (void)state;
    drawn d;
    begin(&d);
    add_room(&d, 0, 0, 10, 8, 0, 2.5);
    add_wall(&d, 5, 0, 5, 4, 0, 2.5, ES_BARRIER_DRILL); /* one wall drawn in two pieces */
    add_wall(&d, 5, 4, 5, 8, 0, 2.5, ES_BARRIER_DRILL);
    finish(&d, 10, 8);
    for (double y = 3.7; y < 4.3; y += 0.017) {
        es_route route = route_of(&d, at(4.6, y, 2.4), at(5.4, y, 2.4));
        assert_int_equal(route.n_walls, 1);
        es_route_clear(&route);
    }
    end(&d);
}

static void test_large_sites_get_coarser(void **state)
{
    (void)state;
    drawn d;
    begin(&d);
    add_room(&d, 0, 0, 10, 8, 0, 2.5);
    finish(&d, 10, 8);
    const es_route_site site = {d.geometry, d.barrier,      d.n_elements, d.deck, 1,
                                {0.0, 0.0}, {400.0, 300.0}, d.prices,     0.25,   100000};
    es_route_grid *grid;
    assert_int_equal(es_route_grid_new(&site, &grid), EARSHOT_OK);
    check_close(es_route_grid_cell_m(grid), sqrt(403.0 * 303.0 / 100000.0), 1e-9, "m");
    es_route_grid_free(grid);
    end(&d);
}

static void test_refuses_what_cannot_be(void **state)
{
    (void)state;
    drawn d;
    begin(&d);
    add_room(&d, 0, 0, 10, 8, 0, 2.5);
    finish(&d, 10, 8);
    es_route_site site = {d.geometry, d.barrier,   d.n_elements, d.deck, 0,
                          {0.0, 0.0}, {10.0, 8.0}, d.prices,     0.25,   100000};
    es_route_grid *grid;
    assert_int_equal(es_route_grid_new(&site, &grid), EARSHOT_ARGUMENT);
    site.n_decks = 1;
    site.prices.outdoor = NAN;
    assert_int_equal(es_route_grid_new(&site, &grid), EARSHOT_ARGUMENT);
    site.prices.outdoor = 5.0;
    site.high.x_m = INFINITY;
    assert_int_equal(es_route_grid_new(&site, &grid), EARSHOT_ARGUMENT);
    assert_null(grid);
    es_route_tree *tree;
    es_route route;
    assert_int_equal(es_route_tree_new(d.grid, at(NAN, 1, 1), &tree), EARSHOT_ARGUMENT);
    assert_null(tree);
    assert_int_equal(es_route_tree_new(d.grid, at(1, 1, 1), &tree), EARSHOT_OK);
    assert_int_equal(es_route_trace(tree, at(500, 1, 1), &route), EARSHOT_ARGUMENT);
    assert_true(es_route_cost(tree, at(500, 1, 1)) == INFINITY);
    es_route_tree_free(tree);
    end(&d);
}

/* ---- faces near a line ---- */

typedef struct visited {
    const es_route_faces *faces;
    bool seen[MOST];
    ptrdiff_t last;
} visited;

static void visit(void *context, const es_route_face *face)
{
    visited *v = context;
    const ptrdiff_t at = face - v->faces->item;
    assert_true(at > v->last); /* in order, each but once */
    v->seen[at] = true;
    v->last = at;
}

static bool overlap(double a, double b, double c, double d, double margin)
{
    return fmin(a, b) <= fmax(c, d) + margin && fmin(c, d) <= fmax(a, b) + margin;
}

/* Walls along a spiral, one of them no barrier: none that may be met is left out, and far from all, none is visited. */
static void test_faces_near_a_line(void **state)
{
    (void)state;
    drawn d;
    begin(&d);
    for (int i = 0; i < 60; i++)
        add_wall(&d, 0.1 * i * cos(0.3 * i), 0.1 * i * sin(0.3 * i), 0.1 * i * cos(0.3 * i + 0.5), 0.1 * i + 1.0, 0.0,
                 2.5, i == 7 ? ES_BARRIER_NONE : ES_BARRIER_DRILL);
    finish(&d, 6.0, 6.0);
    const es_route_site site = {.geometry = d.geometry, .barrier = d.barrier};
    es_route_faces faces;
    assert_int_equal(es_route_faces_new(&site, &faces), EARSHOT_OK);
    assert_int_equal(faces.n, 59);
    for (double x = -7.0; x < 7.0; x += 0.9) {
        const earshot_point p = {x, 0.5 * x - 1.0}, q = {x + 0.4, 1.0 - x};
        visited v = {.faces = &faces, .last = -1};
        es_route_faces_near(&faces, p, q, 0.01, visit, &v);
        for (size_t i = 0; i < faces.n; i++) {
            const es_route_face *f = &faces.item[i];
            if (overlap(f->a.x_m, f->b.x_m, p.x_m, q.x_m, 0.01) && overlap(f->a.y_m, f->b.y_m, p.y_m, q.y_m, 0.01))
                assert_true(v.seen[i]);
        }
    }
    visited none = {.faces = &faces, .last = -1};
    es_route_faces_near(&faces, (earshot_point){50.0, 0.0}, (earshot_point){51.0, 9.0}, 0.01, visit, &none);
    assert_int_equal(none.last, -1);
    es_route_faces_clear(&faces);
    end(&d);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_faces_near_a_line),
        cmocka_unit_test(test_along_one_wall),
        cmocka_unit_test(test_around_the_corner_rather_than_across),
        cmocka_unit_test(test_across_when_around_is_too_far),
        cmocka_unit_test(test_drills_what_is_in_the_way),
        cmocka_unit_test(test_goes_over_what_is_low_and_beside_what_is_shut),
        cmocka_unit_test(test_up_through_the_slab_or_the_stairwell),
        cmocka_unit_test(test_outdoor_metres_between_buildings),
        cmocka_unit_test(test_a_roof_without_walls_is_not_outdoors),
        cmocka_unit_test(test_out_of_a_block_takes_a_hole),
        cmocka_unit_test(test_drilling_at_a_corner_counts_once),
        cmocka_unit_test(test_large_sites_get_coarser),
        cmocka_unit_test(test_refuses_what_cannot_be),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
