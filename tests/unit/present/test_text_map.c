/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "present/sample.h"
#include "present/text_map.h"

enum { ROWS = 5, COLUMNS = 20, CELLS = ROWS * COLUMNS };

static double dependable[CELLS], margin[CELLS];

static earshot_grid grid_of(void)
{
    for (int i = 0; i < CELLS; i++) {
        dependable[i] = -3.0 + 0.5 * i;
        margin[i] = dependable[i] + 9.0;
    }
    return (earshot_grid){.x0_m = -0.5,
                          .y0_m = -0.5,
                          .cell_x_m = 0.5,
                          .cell_y_m = 1.0,
                          .rows = ROWS,
                          .columns = COLUMNS,
                          .z_m = 1.5,
                          .margin_db = margin,
                          .dependable_db = dependable};
}

static char *map(const sample *s, const earshot_grid *grid, bool colour)
{
    const earshot_look look = {colour, 80};
    earshot_text text = {0};
    const earshot_map_view view = {.grid = grid,
                                   .from = earshot_site_receiver_at(s->site, 0),
                                   .from_name = "panel",
                                   .radio = &s->plan.radio[1],
                                   .frequency_hz = 868.3e6,
                                   .model = EARSHOT_MODEL_DIRECT,
                                   .check = &s->check};
    earshot_present_map(s->site, &view, &look, &text);
    assert_false(text.failed);
    return text.data;
}

static void digits_are_five_decibels_wide(void **state)
{
    (void)state;
    const struct {
        double db;
        char digit;
    } expected[] = {{-0.01, '-'}, {(double)NAN, '-'}, {0.0, '0'},  {4.99, '0'},  {5.0, '1'},
                    {23.7, '4'},  {44.99, '8'},       {45.0, '9'}, {137.2, '9'}, {-61.0, '-'}};
    for (size_t i = 0; i < sizeof expected / sizeof expected[0]; i++)
        assert_int_equal(es_map_digit(expected[i].db), expected[i].digit);
}

static void letters_leave_out_r_and_end_with_stars(void **state)
{
    (void)state;
    assert_int_equal(es_map_letter(0), 'A');
    assert_int_equal(es_map_letter(16), 'Q');
    assert_int_equal(es_map_letter(17), 'S');
    assert_int_equal(es_map_letter(25), 'a');
    assert_int_equal(es_map_letter(50), 'z');
    assert_int_equal(es_map_letter(51), '*');
    assert_int_equal(es_map_letter(9999), '*');
}

static void draws_walls_gaps_blocks_receiver_and_devices(void **state)
{
    (void)state;
    sample s;
    const earshot_grid grid = grid_of();
    sample_new(&s);
    char *text = map(&s, &grid, false);
    /* Rows of 1 m, the first from y 4.5 to 3.5; columns of 0.5 m from x -0.5. The door at x = 5 is y 1 to 2, half of
     * two rows; the tank covers x 2 to 3 and y 3 to 3.5; the shed device stands outside at x = 9, y = 1.5. */
    assert_non_null(strstr(text, "\n\n  |-#C###############11\n"
                                 "  |1#111###222#22A23#33\n"
                                 "  |3#333344444444445#5B\n"
                                 "  |5#5R5566666666667#77\n"
                                 "0 +7#################99\n"
                                 "m +.+.........+........\n"
                                 "    0         5 m\n"));
    assert_non_null(strstr(text, "\n  B  shed    Shed, back  "));
    free(text);
    sample_free(&s);
}

static void what_takes_nothing_is_not_drawn(void **state)
{
    (void)state;
    sample s;
    const earshot_grid grid = grid_of();
    const earshot_loss_entry nothing[] = {{433e6, 0.0}, {868e6, 0.0}};
    sample_new(&s);
    earshot_material *metal = &s.plan.material[2];
    const earshot_loss_entry *before = metal->loss;
    metal->loss = nothing;
    earshot_site_free(s.site);
    assert_int_equal(earshot_site_new(&s.plan, NULL, &s.site, NULL), EARSHOT_OK);
    char *text = map(&s, &grid, false);
    assert_non_null(strstr(text, "\n  |1#111122222#22A23#33\n"));
    metal->loss = before;
    free(text);
    sample_free(&s);
}

static void two_devices_in_one_cell_share_it(void **state)
{
    (void)state;
    sample s;
    const earshot_grid grid = grid_of();
    sample_new(&s);
    const earshot_point before = s.plan.device[2].point;
    s.plan.device[2].point = (earshot_point){6.9, 2.75};
    char *text = map(&s, &grid, false);
    assert_non_null(strstr(text, "\n  |1#111###222#22A23#33\n"));
    assert_non_null(strstr(text, "in the cell of A\n"));
    s.plan.device[2].point = before;
    free(text);
    sample_free(&s);
}

static void colour_changes_nothing_but_the_look(void **state)
{
    (void)state;
    sample s;
    const earshot_grid grid = grid_of();
    sample_new(&s);
    char *plain = map(&s, &grid, false), *coloured = map(&s, &grid, true);
    assert_null(strchr(plain, '\033'));
    assert_non_null(strchr(coloured, '\033'));
    char *to = coloured;
    for (const char *from = coloured; *from;) {
        if (*from == '\033')
            from = strchr(from, 'm') + 1;
        else
            *to++ = *from++;
    }
    *to = '\0';
    assert_string_equal(coloured, plain);
    free(plain);
    free(coloured);
    sample_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(digits_are_five_decibels_wide),
        cmocka_unit_test(letters_leave_out_r_and_end_with_stars),
        cmocka_unit_test(draws_walls_gaps_blocks_receiver_and_devices),
        cmocka_unit_test(what_takes_nothing_is_not_drawn),
        cmocka_unit_test(two_devices_in_one_cell_share_it),
        cmocka_unit_test(colour_changes_nothing_but_the_look),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
