/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The field is continuous: walks across each kind of boundary, and no step that a wave of this length does not make. */
#include "rays_case.h"

static const double STEP_M = 1e-3;

/* The largest change of the coherent field, over free space at the start, between points 1 mm apart. */
static double largest_step_by(unsigned edges, es_rays_input input, earshot_vec3 source, earshot_vec3 from,
                              earshot_vec3 to)
{
    es_rays_options options = all_paths(HZ_868);
    options.before = options.after = 0;
    options.edges = edges;
    rays_case c = case_new(input, HZ_868, source, options);
    const double length_m = hypot(to.x_m - from.x_m, to.y_m - from.y_m);
    const size_t steps = (size_t)(length_m / STEP_M);
    double largest = 0.0;
    double complex before = 0.0;
    for (size_t i = 0; i <= steps; i++) {
        const double share = (double)i / (double)steps;
        const earshot_vec3 p = {from.x_m + share * (to.x_m - from.x_m), from.y_m + share * (to.y_m - from.y_m), 0.0};
        case_at(&c, p, EARSHOT_ANTENNA_ISOTROPIC);
        const double complex now = total(&c) * sqrt(hypot(p.x_m - source.x_m, p.y_m - source.y_m));
        if (i) largest = fmax(largest, cabs(now - before));
        before = now;
    }
    case_free(&c);
    return largest;
}

static double largest_step(es_rays_input input, earshot_vec3 source, earshot_vec3 from, earshot_vec3 to)
{
    return largest_step_by(1, input, source, from, to);
}

/* k = 18.2 per metre: a plane wave of full strength turns by 0.018 in 1 mm, two of them beat by twice that. */
static const double TURN = 0.0182;

static void test_shadow_of_a_conducting_end(void **state)
{
    (void)state;
    const es_panel w = wall(0.0, 0.0, 60.0, 0.0, CONDUCTOR);
    const es_rays_input input = {.panel = &w, .n_panels = 1};
    assert_true(largest_step(input, (earshot_vec3){2, -3, 0}, (earshot_vec3){-4, 3, 0}, (earshot_vec3){0, 3, 0}) <
                TURN);
}

static void test_reflection_at_a_conducting_end(void **state)
{
    (void)state;
    const es_panel w = wall(0.0, 0.0, 60.0, 0.0, CONDUCTOR);
    const es_rays_input input = {.panel = &w, .n_panels = 1};
    assert_true(largest_step(input, (earshot_vec3){2, -3, 0}, (earshot_vec3){-4, -3.5, 0}, (earshot_vec3){0, -3.5, 0}) <
                2.0 * TURN);
}

static void test_shadow_and_reflection_at_a_brick_end(void **state)
{
    (void)state;
    const es_panel w = wall(5.0, 1.5, 5.0, 6.0, BRICK_110);
    const es_rays_input input = {.panel = &w, .n_panels = 1};
    const earshot_vec3 source = {2.5, 3.5, 0};
    assert_true(largest_step(input, source, (earshot_vec3){8, 6, 0}, (earshot_vec3){8, 12, 0}) < 1.3 * TURN);
    assert_true(largest_step(input, source, (earshot_vec3){2, 6, 0}, (earshot_vec3){2, 11, 0}) < 1.5 * TURN);
}

/* A joint of two materials in one line, and the end of one wall at another. */
static void test_joints(void **state)
{
    (void)state;
    const es_panel pane[] = {wall(5.0, 0.0, 5.0, 3.7, BRICK_110), wall(5.0, 3.7, 5.0, 8.0, GLASS_8)};
    const earshot_vec3 source = {2.5, 2.5, 0};
    const es_rays_input window = {.panel = pane, .n_panels = 2};
    assert_true(largest_step(window, source, (earshot_vec3){8, 3.5, 0}, (earshot_vec3){8, 6.5, 0}) < 1.3 * TURN);
    assert_true(largest_step(window, source, (earshot_vec3){2, 4, 0}, (earshot_vec3){2, 6, 0}) < 1.5 * TURN);
    const es_panel tee[] = {wall(5.0, -9.0, 5.0, 19.0, BRICK_110), wall(5.0, 3.7, 15.0, 3.7, BRICK_110)};
    const es_rays_input junction = {.panel = tee, .n_panels = 2};
    assert_true(largest_step(junction, source, (earshot_vec3){8, 4, 0}, (earshot_vec3){8, 7, 0}) < 1.5 * TURN);
}

/* Behind the wall that another one ends at, past the line of that other one: nothing there is a boundary. */
static void test_past_the_line_of_a_wall_that_ends(void **state)
{
    (void)state;
    const es_panel tee[] = {wall(5.0, -9.0, 5.0, 19.0, CONCRETE_200), wall(-9.0, 3.7, 5.0, 3.7, BRICK_110)};
    const es_rays_input input = {.panel = tee, .n_panels = 2};
    assert_true(largest_step(input, (earshot_vec3){-1.3, 4.4, 0}, (earshot_vec3){5.6, 3.0, 0},
                             (earshot_vec3){5.6, 4.2, 0}) < 1.3 * TURN);
}

/* A door seen at a small angle: each jamb is in the other's way, and the point's line of sight passes both. */
static void test_two_jambs_in_a_row(void **state)
{
    (void)state;
    const earshot_vec3 source = {-2.6, 0.8, 0};
    for (size_t material = BRICK_110; material <= CONDUCTOR; material++) {
        const es_panel jambs[] = {wall(-60.0, 0.0, 0.0, 0.0, material), wall(0.8, 0.0, 60.0, 0.0, material)};
        const es_rays_input input = {.panel = jambs, .n_panels = 2};
        const double step =
            largest_step_by(2, input, source, (earshot_vec3){6.0, -3.4, 0}, (earshot_vec3){6.0, -0.3, 0});
        assert_true(step < TURN);
    }
}

static void test_corner_of_a_box(void **state)
{
    (void)state;
    const earshot_point outline[] = {{4.0, 2.0}, {5.0, 2.0}, {5.0, 4.0}, {4.0, 4.0}};
    const es_prism box = {outline, 4, -1e3, 1e3, 1, CONDUCTOR};
    const es_rays_input input = {.prism = &box, .n_prisms = 1};
    const earshot_vec3 source = {2, 3.2, 0};
    assert_true(largest_step(input, source, (earshot_vec3){5.5, 4.2, 0}, (earshot_vec3){5.5, 6.5, 0}) < TURN);
    assert_true(largest_step(input, source, (earshot_vec3){2, 3.6, 0}, (earshot_vec3){2, 7, 0}) < 2.0 * TURN);
}

/* Up a stand behind a low wall, past the height from which the source is seen over its top. */
static void test_top_of_a_low_wall(void **state)
{
    (void)state;
    es_panel low = wall(5.0, -30.0, 5.0, 30.0, BRICK_110);
    low.z0_m = -30.0;
    low.z1_m = 1.5;
    const es_rays_input input = {.panel = &low, .n_panels = 1};
    es_rays_options options = all_paths(HZ_868);
    options.space = true;
    rays_case c = case_new(input, HZ_868, (earshot_vec3){1.7, 2.3, 1.1}, options);
    double complex before = 0.0;
    double largest = 0.0;
    for (double z = 1.6; z < 3.4; z += STEP_M) { /* the shadow ends at 2.32 m */
        case_at(&c, (earshot_vec3){11.7, 4.1, z}, EARSHOT_ANTENNA_ISOTROPIC);
        double complex now = 0.0;
        for (size_t i = 0; i < c.work->n_risen; i++) now += c.work->risen[i].amplitude;
        now *= hypot(10.0, 1.8);
        if (z > 1.6) largest = fmax(largest, cabs(now - before));
        before = now;
    }
    assert_true(largest < TURN);
    case_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_shadow_of_a_conducting_end),
        cmocka_unit_test(test_reflection_at_a_conducting_end),
        cmocka_unit_test(test_shadow_and_reflection_at_a_brick_end),
        cmocka_unit_test(test_joints),
        cmocka_unit_test(test_past_the_line_of_a_wall_that_ends),
        cmocka_unit_test(test_two_jambs_in_a_row),
        cmocka_unit_test(test_corner_of_a_box),
        cmocka_unit_test(test_top_of_a_low_wall),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
