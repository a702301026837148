/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The field is continuous in space too: walks in 1 mm steps past sills, heads, tops, jambs, wall ends and corners.
 * docs/model/rays.md says at which edges the model has no diffraction, and so a step. */
#include "rays_case.h"

static const double STEP_M = 1e-3;
/* k = 18.2 per metre: a plane wave of full strength turns by 0.018 in 1 mm. */
static const double TURN = 0.0182;

static double complex field_at(rays_case *c, earshot_vec3 p)
{
    case_at(c, p, EARSHOT_ANTENNA_ISOTROPIC);
    double complex sum = 0.0;
    for (size_t i = 0; i < c->work->n_risen; i++) sum += c->work->risen[i].amplitude;
    return sum *
           sqrt(pow(p.x_m - c->source.x_m, 2.0) + pow(p.y_m - c->source.y_m, 2.0) + pow(p.z_m - c->source.z_m, 2.0));
}

/* The largest change of the coherent field over free space between points 1 mm apart. */
static double largest_step(es_rays_input input, earshot_vec3 source, earshot_vec3 from, earshot_vec3 to)
{
    es_rays_options options = all_paths(HZ_868);
    options.space = true;
    options.before = options.after = 0;
    options.edges = 1;
    rays_case c = case_new(input, HZ_868, source, options);
    const earshot_vec3 way = {to.x_m - from.x_m, to.y_m - from.y_m, to.z_m - from.z_m};
    const size_t steps = (size_t)(sqrt(way.x_m * way.x_m + way.y_m * way.y_m + way.z_m * way.z_m) / STEP_M);
    double largest = 0.0;
    double complex before = field_at(&c, from);
    for (size_t i = 1; i <= steps; i++) {
        const double share = (double)i / (double)steps;
        const earshot_vec3 p = {from.x_m + share * way.x_m, from.y_m + share * way.y_m, from.z_m + share * way.z_m};
        const double complex now = field_at(&c, p);
        largest = fmax(largest, cabs(now - before));
        before = now;
    }
    print_message("largest step %.4f of free space\n", largest);
    case_free(&c);
    return largest;
}

static es_panel band(double x, double z0, double z1, size_t material)
{
    es_panel w = wall(x, -30.0, x, 30.0, material);
    w.z0_m = z0;
    w.z1_m = z1;
    return w;
}

static const earshot_vec3 SOURCE = {1.7, 2.3, 1.1};

/* Past the lower and upper edge of a strip in a wall: of glass in brick, and open. */
static void test_sill_and_head(void **state)
{
    (void)state;
    const es_panel strip[] = {band(5.0, -30.0, 0.9, BRICK_110), band(5.0, 0.9, 2.1, GLASS_8),
                              band(5.0, 2.1, 30.0, BRICK_110)};
    const es_panel open[] = {strip[0], strip[2]};
    const earshot_vec3 low = {9.7, 4.1, -1.5}, high = {9.7, 4.1, 5.5}; /* the boundaries are at 0.62 and 3.53 m */
    assert_true(largest_step((es_rays_input){.panel = strip, .n_panels = 3}, SOURCE, low, high) < TURN);
    assert_true(largest_step((es_rays_input){.panel = open, .n_panels = 2}, SOURCE, low, high) < TURN);
}

/* Down behind a wall lower than the source; conducting, its shadow is complete. */
static void test_tops(void **state)
{
    (void)state;
    const earshot_vec3 source = {1.7, 2.3, 2.9}, high = {9.7, 4.1, 2.3}, low = {9.7, 4.1, -2.0};
    const es_panel brick = band(5.0, -30.0, 1.5, BRICK_110), metal = band(5.0, -30.0, 1.5, CONDUCTOR);
    assert_true(largest_step((es_rays_input){.panel = &brick, .n_panels = 1}, source, high, low) < TURN);
    assert_true(largest_step((es_rays_input){.panel = &metal, .n_panels = 1}, source, high, low) < TURN);
}

/* What test_rays_walk.c does level, on a way that climbs. */
static void test_upright_edges_in_space(void **state)
{
    (void)state;
    const earshot_vec3 from = {8.0, 3.5, 2.3}, to = {8.0, 6.5, 2.7}; /* the boundary is near y = 5 */
    const es_panel jamb[] = {wall(5.0, -30.0, 5.0, 3.7, BRICK_110), wall(5.0, 3.7, 5.0, 30.0, GLASS_8)};
    const es_panel brick = jamb[0], metal = wall(5.0, -30.0, 5.0, 3.7, CONDUCTOR);
    assert_true(largest_step((es_rays_input){.panel = jamb, .n_panels = 2}, SOURCE, from, to) < TURN);
    assert_true(largest_step((es_rays_input){.panel = &brick, .n_panels = 1}, SOURCE, from, to) < TURN);
    assert_true(largest_step((es_rays_input){.panel = &metal, .n_panels = 1}, SOURCE, from, to) < TURN);
    const earshot_vec3 before = {3.0, 3.5, 2.3}, beyond = {3.0, 6.5, 2.7}; /* the reflection ends */
    assert_true(largest_step((es_rays_input){.panel = &brick, .n_panels = 1}, SOURCE, before, beyond) < 2.0 * TURN);
    assert_true(largest_step((es_rays_input){.panel = &metal, .n_panels = 1}, SOURCE, before, beyond) < 2.0 * TURN);
}

static void test_corner_of_a_block_in_space(void **state)
{
    (void)state;
    const earshot_point outline[] = {{4.0, 2.0}, {5.0, 2.0}, {5.0, 4.0}, {4.0, 4.0}};
    const es_prism box = {outline, 4, -1e3, 1e3, 1, CONDUCTOR};
    const es_rays_input input = {.prism = &box, .n_prisms = 1};
    assert_true(largest_step(input, SOURCE, (earshot_vec3){5.5, 4.2, 2.3}, (earshot_vec3){5.5, 7.5, 2.7}) < TURN);
    assert_true(largest_step(input, SOURCE, (earshot_vec3){2, 3.6, 2.3}, (earshot_vec3){2, 7, 2.7}) < 2.0 * TURN);
}

/* A metal block that ends 0.4 m under the ceiling hides what lies behind it, but not what looks over it. */
static void test_a_block_is_looked_over(void **state)
{
    (void)state;
    const earshot_point outline[] = {{4.0, 1.0}, {5.0, 1.0}, {5.0, 5.0}, {4.0, 5.0}};
    const es_prism block = {outline, 4, 0.0, 2.1, 1, CONDUCTOR};
    const es_panel side = {-9.0, -9.0, 20.0, -9.0, 0.0, 2.5, 2, PLASTERBOARD_100, 0.1};
    const es_rays_input input = {.panel = &side, .n_panels = 1, .prism = &block, .n_prisms = 1};
    es_rays_options options = es_rays_defaults(HZ_868);
    options.space = true;
    rays_case c = case_new(input, HZ_868, (earshot_vec3){1.7, 2.3, 2.4}, options);
    case_at(&c, (earshot_vec3){9.7, 4.1, 2.4}, EARSHOT_ANTENNA_ISOTROPIC);
    assert_true(in_db(c.result.mean) > -3.0);
    case_at(&c, (earshot_vec3){9.7, 4.1, 1.1}, EARSHOT_ANTENNA_ISOTROPIC);
    assert_true(in_db(c.result.mean) < -7.0);
    case_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sill_and_head),          cmocka_unit_test(test_tops),
        cmocka_unit_test(test_upright_edges_in_space), cmocka_unit_test(test_corner_of_a_block_in_space),
        cmocka_unit_test(test_a_block_is_looked_over),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
