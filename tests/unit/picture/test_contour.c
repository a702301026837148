/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <stdlib.h>

#include "present/picture/shade.h"

enum { ROWS = 41, COLUMNS = 57 };
static double VALUE[ROWS * COLUMNS];
static earshot_grid GRID = {.x0_m = -3.2,
                            .y0_m = 1.7,
                            .cell_x_m = 0.21,
                            .cell_y_m = 0.34,
                            .rows = ROWS,
                            .columns = COLUMNS,
                            .dependable_db = VALUE};

typedef double surface(double x_m, double y_m);

static double x_at(size_t column)
{
    return GRID.x0_m + ((double)column + 0.5) * GRID.cell_x_m;
}

static double y_at(size_t row)
{
    return GRID.y0_m + ((double)(ROWS - row) - 0.5) * GRID.cell_y_m;
}

static void fill(surface *f)
{
    for (size_t row = 0; row < ROWS; row++)
        for (size_t column = 0; column < COLUMNS; column++) VALUE[row * COLUMNS + column] = f(x_at(column), y_at(row));
}

static double cone(double x, double y)
{
    return 30.0 - 7.3 * hypot(x - 2.7, y - 8.4);
}

static double plane(double x, double y)
{
    return 3.1 * x - 1.7 * y + 4.0;
}

/* Its middle lies in the middle of a square of four cells, of which two corners are above the level asked for below. */
static double saddle(double x, double y)
{
    return (x - x_at(27) - GRID.cell_x_m / 2.0) * (y - y_at(20) + GRID.cell_y_m / 2.0);
}

static void a_cone_has_one_round_line(void **state)
{
    (void)state;
    es_contours lines;
    const double radius = (30.0 - 11.0) / 7.3;
    fill(cone);
    assert_true(es_contours_find(&GRID, 11.0, &lines));
    assert_int_equal(lines.n, 1);
    assert_true(lines.item[0].closed);
    for (size_t i = 0; i < lines.item[0].n; i++)
        check_close(hypot(lines.item[0].point[i].x_m - 2.7, lines.item[0].point[i].y_m - 8.4), radius, 0.02, "m");
    check_close(lines.item[0].point[0].x_m, lines.item[0].point[lines.item[0].n - 1].x_m, 0.0, "m");
    es_contours_clear(&lines);
}

static void a_plane_has_one_straight_line_from_edge_to_edge(void **state)
{
    (void)state;
    es_contours lines;
    fill(plane);
    assert_true(es_contours_find(&GRID, -6.3, &lines));
    assert_int_equal(lines.n, 1);
    assert_false(lines.item[0].closed);
    for (size_t i = 0; i < lines.item[0].n; i++)
        check_close(plane(lines.item[0].point[i].x_m, lines.item[0].point[i].y_m), -6.3, 1e-9, "dB");
    es_contours_clear(&lines);
}

static void at_a_saddle_lines_do_not_cross(void **state)
{
    (void)state;
    es_contours lines;
    fill(saddle);
    assert_true(es_contours_find(&GRID, 0.006, &lines));
    assert_int_equal(lines.n, 2);
    for (size_t k = 0; k < 2; k++) {
        const double middle_m = x_at(27) + GRID.cell_x_m / 2.0, side = lines.item[k].point[0].x_m - middle_m;
        for (size_t i = 0; i < lines.item[k].n; i++) assert_true((lines.item[k].point[i].x_m - middle_m) * side > 0.0);
    }
    es_contours_clear(&lines);
}

static void a_level_that_does_not_occur_has_no_line(void **state)
{
    (void)state;
    es_contours lines;
    fill(cone);
    assert_true(es_contours_find(&GRID, 77.0, &lines));
    assert_int_equal(lines.n, 0);
    es_contours_clear(&lines);
}

static void the_margin_between_cells_is_interpolated(void **state)
{
    (void)state;
    fill(plane);
    check_close(es_shade_at(&GRID, 1.234, 5.678), plane(1.234, 5.678), 1e-9, "dB");
    check_close(es_shade_at(&GRID, x_at(5), y_at(7)), VALUE[7 * COLUMNS + 5], 1e-9, "dB");
    assert_true(isnan(es_shade_at(&GRID, -3.3, 5.0)));
    assert_true(isnan(es_shade_at(&GRID, 1.0, 99.0)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cone_has_one_round_line),
        cmocka_unit_test(a_plane_has_one_straight_line_from_edge_to_edge),
        cmocka_unit_test(at_a_saddle_lines_do_not_cross),
        cmocka_unit_test(a_level_that_does_not_occur_has_no_line),
        cmocka_unit_test(the_margin_between_cells_is_interpolated),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
