/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Plane problems worked out by another program from the same formulas. */
#include "rays_case.h"

static const double DIGITS = 1.5e-4; /* the ends are 0.15 um off the round numbers (rays.c): k times that */

static void test_conducting_half_plane(void **state)
{
    (void)state;
    const es_panel half_plane = wall(0.0, 0.0, 400.0, 0.0, CONDUCTOR);
    rays_case c = case_new((es_rays_input){.panel = &half_plane, .n_panels = 1}, HZ_868, (earshot_vec3){2.0, -3.0, 0.0},
                           all_paths(HZ_868));
    case_at(&c, (earshot_vec3){1.0, 2.0, 0.0}, EARSHOT_ANTENNA_ISOTROPIC);
    check_field(path_of(&c, 5.8416, true), 0.03579, -0.00763, DIGITS);
    check_close(in_db(c.result.at_point), -28.732, 0.02, "dB");
    case_at(&c, (earshot_vec3){-3.0, 2.0, 0.0}, EARSHOT_ANTENNA_ISOTROPIC);
    check_field(path_of(&c, 7.0711, false), -0.99227, -0.12411, DIGITS);
    check_field(path_of(&c, 7.2111, true), -0.21410, -0.01244, DIGITS);
    check_close(in_db(c.result.at_point), 1.685, 0.002, "dB");
    case_at(&c, (earshot_vec3){-2.0001, 3.0, 0.0}, EARSHOT_ANTENNA_ISOTROPIC);
    check_field(path_of(&c, 7.2112, true), -0.41878, -0.32596, DIGITS);
    check_close(in_db(c.result.at_point), -6.54, 0.005, "dB");
    case_free(&c);
}

/* The other program knows sheets only. */
static es_rays_options sheets(void)
{
    es_rays_options options = all_paths(HZ_868);
    options.thick_ends = false;
    return options;
}

static void test_brick_sheet(void **state)
{
    (void)state;
    const es_panel sheet = wall(5.0, 1.5, 5.0, 6.0, BRICK_110);
    rays_case c =
        case_new((es_rays_input){.panel = &sheet, .n_panels = 1}, HZ_868, (earshot_vec3){2.5, 3.5, 0.0}, sheets());
    case_at(&c, (earshot_vec3){8.0, 4.0, 0.0}, EARSHOT_ANTENNA_ISOTROPIC);
    check_field(path_of(&c, 5.5227, false), -0.27596, -0.62810, DIGITS);
    check_field(path_of(&c, 7.1067, true), -0.03258, 0.06880, DIGITS);
    check_field(path_of(&c, 7.1411, true), 0.01410, 0.07370, DIGITS);
    check_close(in_db(c.result.at_point), -4.915, 0.002, "dB");
    check_close(in_db(c.result.mean), -3.364, 0.002, "dB");
    case_at(&c, (earshot_vec3){8.0, 7.5, 0.0}, EARSHOT_ANTENNA_ISOTROPIC);
    check_close(in_db(c.result.at_point), -0.398, 0.002, "dB");
    check_close(in_db(c.result.mean), -0.639, 0.002, "dB");
    case_at(&c, (earshot_vec3){3.5, 5.0, 0.0}, EARSHOT_ANTENNA_ISOTROPIC);
    check_field(path_of(&c, 1.8028, false), 0.17845, -0.98395, DIGITS);
    check_field(path_of(&c, 4.2720, false), -0.25976, 0.01650, DIGITS);
    case_free(&c);
}

static void test_gap_between_sheets(void **state)
{
    (void)state;
    const es_panel sheet[] = {wall(5.0, 0.0, 5.0, 3.0, BRICK_110), wall(5.0, 3.9, 5.0, 8.0, BRICK_110)};
    rays_case c =
        case_new((es_rays_input){.panel = sheet, .n_panels = 2}, HZ_868, (earshot_vec3){2.0, 2.0, 0.0}, sheets());
    case_at(&c, (earshot_vec3){8.0, 6.0, 0.0}, EARSHOT_ANTENNA_ISOTROPIC);
    check_field(path_of(&c, 7.2111, false), 0.05198, -0.65822, DIGITS);
    check_field(path_of(&c, 7.2130, true), 0.40197, 0.49129, DIGITS);
    check_field(path_of(&c, 7.4049, true), 0.21273, 0.02208, DIGITS);
    /* There the two edges' D are simply multiplied; joined they are 1.3 % less (test_rays_fresnel.c). */
    check_field(path_of(&c, 7.7242, true), -0.01734, 0.00130, 0.015 * 0.01739);
    case_free(&c);
}

static void test_conducting_box(void **state)
{
    (void)state;
    const earshot_point outline[] = {{4.0, 2.0}, {5.0, 2.0}, {5.0, 4.0}, {4.0, 4.0}};
    const es_prism box = {outline, 4, -1e3, 1e3, 1, CONDUCTOR};
    rays_case c = case_new((es_rays_input){.prism = &box, .n_prisms = 1}, HZ_868, (earshot_vec3){2.0, 3.2, 0.0},
                           all_paths(HZ_868));
    case_at(&c, (earshot_vec3){7.0, 3.5, 0.0}, EARSHOT_ANTENNA_ISOTROPIC);
    check_field(path_of(&c, 5.2156, true), -0.01142, -0.01945, DIGITS);
    case_at(&c, (earshot_vec3){4.5, 6.0, 0.0}, EARSHOT_ANTENNA_ISOTROPIC);
    check_field(path_of(&c, 3.7537, false), 0.69310, 0.72084, DIGITS);
    check_field(path_of(&c, 4.2156, true), 0.08515, 0.15970, DIGITS);
    check_close(in_db(c.result.at_point), 1.400, 0.003, "dB");
    check_close(in_db(c.result.mean), 0.698, 0.003, "dB");
    case_free(&c);
}

static void test_corridor(void **state)
{
    (void)state;
    const es_panel sheet[] = {wall(-20.0, 0.0, 20.0, 0.0, CONCRETE_200), wall(-20.0, 2.0, 20.0, 2.0, CONCRETE_200)};
    es_rays_options options = all_paths(HZ_433);
    options.reflections = 3;
    options.before = options.after = 0;
    options.edges = 1;
    options.field_floor = 1.0; /* no diffraction at the far ends */
    rays_case c =
        case_new((es_rays_input){.panel = sheet, .n_panels = 2}, HZ_433, (earshot_vec3){0.0, 0.7, 0.0}, options);
    case_at(&c, (earshot_vec3){6.0, 1.2, 0.0}, EARSHOT_ANTENNA_ISOTROPIC);
    assert_int_equal(c.result.n_paths, 7);
    check_field(path_of(&c, 6.0208, false), -0.22115, 0.97524, DIGITS);
    check_field(path_of(&c, 6.2936, false), -0.73628, -0.01145, DIGITS);
    check_field(path_of(&c, 6.3569, false), -0.62790, 0.34216, DIGITS);
    check_field(path_of(&c, hypot(6.0, 3.5), false), -0.12208, 0.36419, DIGITS);
    check_field(path_of(&c, hypot(6.0, 4.5), false), -0.30338, -0.11686, DIGITS);
    check_close(in_db(c.result.at_point), 7.234, 0.002, "dB");
    check_close(in_db(c.result.mean), 6.375, 0.002, "dB");
    case_free(&c);
}

/* Bent round the end of a wall, then thrown back by the mirror at y = -2 m, in which b is seen at y = -9 m; and the
 * same the other way. */
static void test_reflection_after_an_edge(void **state)
{
    (void)state;
    const es_panel panel[] = {wall(3.0, 1.0, 3.0, 60.0, CONDUCTOR), wall(-20.0, -2.0, 20.0, -2.0, CONDUCTOR)};
    const es_rays_input input = {.panel = panel, .n_panels = 2};
    const earshot_vec3 a = {0.0, 4.0, 0.0}, b = {6.0, 5.0, 0.0};
    const double length_m = hypot(3.0, 3.0) + hypot(3.0, 10.0);
    rays_case there = case_new(input, HZ_868, a, all_paths(HZ_868)),
              back = case_new(input, HZ_868, b, all_paths(HZ_868));
    case_at(&there, b, EARSHOT_ANTENNA_ISOTROPIC);
    case_at(&back, a, EARSHOT_ANTENNA_ISOTROPIC);
    const double complex after = path_of(&there, length_m, true), before = path_of(&back, length_m, true);
    assert_true(cabs(after) > 0.01);
    check_close(cabs(after - before), 0.0, 1e-9, "of free space");
    case_free(&there);
    case_free(&back);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_reflection_after_an_edge),
        cmocka_unit_test(test_conducting_half_plane),
        cmocka_unit_test(test_brick_sheet),
        cmocka_unit_test(test_gap_between_sheets),
        cmocka_unit_test(test_conducting_box),
        cmocka_unit_test(test_corridor),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
