/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The grid finds what looking at every wall finds. */
#include "rays_case.h"

#include <stdlib.h>

enum { WALLS = 60, LEGS = 4000 };

static uint64_t seed = 20260117;

static double random_m(void)
{
    seed = seed * 6364136223846793005u + 1442695040888963407u;
    return 20.0 * (double)(seed >> 33) / 2147483648.0 - 3.0;
}

static double side(double ax, double ay, double bx, double by, double px, double py)
{
    return (bx - ax) * (py - ay) - (by - ay) * (px - ax);
}

static bool crosses(const es_panel *w, rays_point p, rays_point q)
{
    const double a = side(p.x, p.y, q.x, q.y, w->ax_m, w->ay_m), b = side(p.x, p.y, q.x, q.y, w->bx_m, w->by_m);
    const double c = side(w->ax_m, w->ay_m, w->bx_m, w->by_m, p.x, p.y);
    const double d = side(w->ax_m, w->ay_m, w->bx_m, w->by_m, q.x, q.y);
    return a * b < 0.0 && c * d < 0.0;
}

static void test_grid_and_brute_force_agree(void **state)
{
    (void)state;
    es_panel panel[WALLS];
    for (size_t i = 0; i < WALLS; i++)
        panel[i] = wall(random_m(), random_m(), random_m(), random_m(), PLASTERBOARD_100);
    for (size_t i = 0; i < WALLS; i++) panel[i].thickness_m = 0.0;
    const es_rays_input input = {.panel = panel, .n_panels = WALLS, .material = MATERIAL, .n_materials = N_MATERIALS};
    rays_scene *scene;
    rays_tracer tracer;
    assert_int_equal(es_rays_scene_new(&input, HZ_868, (earshot_vec3){0.5, 0.5, 0.0}, false, &scene), EARSHOT_OK);
    assert_true(es_rays_tracer_init(&tracer, scene));
    const rays_ends nowhere = {.wall = {RAYS_NONE, RAYS_NONE}};
    for (size_t i = 0; i < LEGS; i++) {
        const rays_point p = {1.5 * random_m(), random_m()}, q = {random_m(), 1.5 * random_m()};
        size_t expected = 0;
        for (size_t w = 0; w < WALLS; w++) expected += crosses(&panel[w], p, q);
        double bound = 1.0;
        tracer.hits.n = 0;
        assert_true(es_rays_trace_leg(scene, &tracer, p, q, &nowhere, 0.0, 0.0, &bound));
        assert_int_equal(tracer.hits.n, expected);
    }
    es_rays_tracer_clear(&tracer);
    es_rays_scene_free(scene);
}

static es_panel part(double z0_m, double z1_m, size_t material)
{
    es_panel p = wall(0.0, 0.0, 4.0, 0.0, material);
    p.z0_m = z0_m;
    p.z1_m = z1_m;
    return p;
}

/* A sill, a pane, a gap and a lintel: the most that is let through between two heights. */
static void test_between_heights(void **state)
{
    (void)state;
    const es_panel panel[] = {part(0.0, 0.9, CONCRETE_200), part(0.9, 2.1, GLASS_8), part(2.3, 2.5, CONCRETE_200)};
    rays_case c = case_new((es_rays_input){.panel = panel, .n_panels = 3}, HZ_868, (earshot_vec3){1.0, 2.0, 1.5},
                           es_rays_defaults(HZ_868));
    const rays_scene *s = c.rays->scene;
    const double concrete = es_rays_t_abs(es_rays_wall_at(s, 0, 0.5), 1.0);
    const double glass = es_rays_t_abs(es_rays_wall_at(s, 0, 1.5), 1.0);
    assert_true(concrete < glass && glass < 1.0);
    assert_true(es_rays_wall_t_between(s, 0, 1.0, 0.1, 0.8) == concrete);
    assert_true(es_rays_wall_t_between(s, 0, 1.0, 1.2, 1.2) == glass);
    assert_true(es_rays_wall_t_between(s, 0, 1.0, 0.5, 1.5) == glass);
    assert_true(es_rays_wall_t_between(s, 0, 1.0, 2.4, 2.5) == concrete);
    assert_true(es_rays_wall_t_between(s, 0, 1.0, 0.5, 2.4) == 1.0); /* over the gap */
    assert_true(es_rays_wall_t_between(s, 0, 1.0, 2.2, 2.2) == 1.0); /* in it */
    assert_true(es_rays_wall_t_between(s, 0, 1.0, -0.1, 0.5) == 1.0);
    assert_true(es_rays_wall_t_between(s, 0, 1.0, 2.4, 2.6) == 1.0);
    case_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_between_heights),
                                       cmocka_unit_test(test_grid_and_brute_force_agree)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
