/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the materials' spreads do to the local mean. */
#include "rays_case.h"

#include "base/units.h"

/* As the materials of rays_case.h, with spreads. */
static void fill_spreads(es_material material[N_MATERIALS])
{
    static const double SPREAD_DB[N_MATERIALS] = {1.7, 2.9, 0.0, 0.7, 1.1};
    for (size_t i = 0; i < N_MATERIALS; i++) {
        material[i] = MATERIAL[i];
        material[i].spread_db = SPREAD_DB[i];
    }
}

static double spread_db(es_rays_input input, earshot_vec3 source, earshot_vec3 p, bool over)
{
    es_material material[N_MATERIALS];
    es_rays_options options = es_rays_defaults(HZ_868);
    fill_spreads(material);
    options.space = true;
    options.over = over;
    rays_case c = case_new(input, HZ_868, source, options);
    case_at(&c, p, EARSHOT_ANTENNA_ISOTROPIC);
    const double found = es_rays_spread_db(c.rays, c.work, material);
    case_free(&c);
    return found;
}

static const earshot_vec3 SOURCE = {1.7, 2.3, 1.1}, POINT = {9.7, 4.1, 1.4};

static void test_nothing_between(void **state)
{
    (void)state;
    const es_panel beside = wall(-60.0, -5.0, 70.0, -5.0, BRICK_110); /* reflects only */
    check_close(spread_db((es_rays_input){0}, SOURCE, POINT, true), 0.0, 0.0, "dB");
    check_close(spread_db((es_rays_input){.panel = &beside, .n_panels = 1}, SOURCE, POINT, true), 0.0, 0.0, "dB");
}

static const earshot_point AROUND[] = {{-90.0, -90.0}, {90.0, -90.0}, {90.0, 90.0}, {-90.0, 90.0}};

/* One wall, one slab, one block: their spreads. The same material twice adds, different ones in quadrature. */
static void test_on_the_line(void **state)
{
    (void)state;
    const es_panel both[] = {wall(4.0, -90.0, 4.0, 90.0, BRICK_110), wall(6.0, -90.0, 6.0, 90.0, BRICK_110)};
    const es_panel two[] = {both[0], wall(6.0, -90.0, 6.0, 90.0, PLASTERBOARD_100)};
    const es_sheet slab = {.outline = AROUND, .n_outline = 4, .z_m = 2.6, .material = CONCRETE_200, .thickness_m = 0.2};
    const earshot_point outline[] = {{4.0, -90.0}, {5.0, -90.0}, {5.0, 90.0}, {4.0, 90.0}};
    const es_prism block = {outline, 4, -1e3, 1e3, 1, CONCRETE_200};
    const earshot_vec3 above = {2.9, 3.1, 5.2};
    check_close(spread_db((es_rays_input){.panel = both, .n_panels = 1}, SOURCE, POINT, true), 1.7, 0.01, "dB");
    check_close(spread_db((es_rays_input){.prism = &block, .n_prisms = 1}, SOURCE, POINT, true), 2.9, 0.01, "dB");
    check_close(spread_db((es_rays_input){.sheet = &slab, .n_sheets = 1}, SOURCE, above, true), 2.9, 0.01, "dB");
    const double walls_db = spread_db((es_rays_input){.panel = two, .n_panels = 2}, SOURCE, POINT, true);
    check_close(walls_db, hypot(1.7, 1.1), 0.15, "dB"); /* reflections between the walls pass them too */
    assert_true(spread_db((es_rays_input){.panel = both, .n_panels = 2}, SOURCE, POINT, true) > 3.4 - 1e-9);
}

/* Two paths of equal power through different walls, made by hand: half of each, in quadrature. */
static void test_two_equal_paths(void **state)
{
    (void)state;
    es_material material[N_MATERIALS];
    es_rays_options options = es_rays_defaults(HZ_868);
    fill_spreads(material);
    options.space = true;
    rays_case c = case_new((es_rays_input){0}, HZ_868, SOURCE, options);
    case_at(&c, POINT, EARSHOT_ANTENNA_ISOTROPIC);
    rays_path path[2] = {{.amplitude = 0.3, .first_pass = 0, .n_passes = 1},
                         {.amplitude = -0.3 * I, .first_pass = 1, .n_passes = 1}};
    rays_path *const own = c.work->risen;
    c.work->n_passed = 0;
    es_rays_note_pass(c.rays->scene, c.work, &c.rays->scene->table[BRICK_110]);
    es_rays_note_pass(c.rays->scene, c.work, &c.rays->scene->table[PLASTERBOARD_100]);
    c.work->risen = path;
    c.work->n_risen = 2;
    check_close(es_rays_spread_db(c.rays, c.work, material), 0.5 * hypot(1.7, 1.1), 1e-12, "dB");
    path[0].amplitude = 0.6;
    check_close(es_rays_spread_db(c.rays, c.work, material), hypot(0.8 * 1.7, 0.2 * 1.1), 1e-12, "dB");
    c.work->risen = own;
    case_free(&c);
}

/* Over a metal wall, behind brick: what the way over the top passes counts. */
static void test_over_an_edge(void **state)
{
    (void)state;
    es_panel both[] = {wall(4.0, -90.0, 4.0, 90.0, BRICK_110), wall(6.0, -90.0, 6.0, 90.0, CONDUCTOR)};
    both[1].z1_m = 2.1;
    const es_rays_input input = {.panel = both, .n_panels = 2};
    assert_true(spread_db(input, SOURCE, POINT, true) > 1.69);
    check_close(spread_db(input, SOURCE, POINT, false), 0.0, 0.0, "dB"); /* nothing arrives */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nothing_between),
        cmocka_unit_test(test_on_the_line),
        cmocka_unit_test(test_two_equal_paths),
        cmocka_unit_test(test_over_an_edge),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
