/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What an edge is said to send at most is no less than what any of its waves sends, and not so much more that nothing
 * could be left out by it. */
#include "propagation/rays_inner.h"
#include "rays_case.h"

#include <stdlib.h>

#include "base/units.h"

enum { DIRECTIONS = 1001 }; /* no multiple of the sectors */

static const double SOURCE_Z = 1.7;

static es_panel wall_up(double ax, double ay, double bx, double by, double z0, double z1, size_t material)
{
    return (es_panel){ax, ay, bx, by, z0, z1, 0, material, MATERIAL[material].thickness_m};
}

typedef struct tally {
    size_t n;
    double worst;     /* largest bound of a wave over what the outlook says */
    double log_slack; /* sum of the logarithm of the reverse, for the strongest wave */
} tally;

static double wave_most(const es_rays *rays, size_t e, const rays_wave *wave, double angle_rad, double z_m)
{
    const rays_edge *edge = &rays->scene->edge[e];
    rays_views views = {0};
    rays_side out;
    assert_true(
        es_rays_side_at(rays->scene, edge, angle_rad, (rays_meet){z_m, {1.0, 0.0}, RAYS_UPRIGHT}, &views, &out));
    es_rays_bound_jump(rays->scene, edge, &views, &out);
    const double most =
        wave->size * es_rays_diffract_bound(rays->scene, edge, &wave->side, &rays->views.item[wave->side.first_view],
                                            &out, views.item, wave->root_m);
    free(views.item);
    return most;
}

static void compare(const es_rays *rays, unsigned edges, size_t e, double angle_rad, double z_m, tally *t)
{
    const rays_waves *waves = &rays->waves[edges - 1];
    double most = 0.0;
    if (!es_rays_edge_open(rays->scene, &rays->scene->edge[e], angle_rad)) return;
    for (size_t w = waves->first[e]; w < waves->first[e + 1]; w++) {
        if (waves->item[w].slope_face != RAYS_NONE) return; /* not bounded */
        most = fmax(most, wave_most(rays, e, &waves->item[w], angle_rad, z_m));
    }
    if (most == 0.0) return;
    const double said = es_rays_outlook(rays, edges, e, angle_rad);
    t->worst = fmax(t->worst, most / said);
    t->log_slack += log(said / most);
    t->n++;
}

static tally compare_all(const es_rays *rays, unsigned edges, double z_m)
{
    tally t = {0};
    for (size_t e = 0; e < rays->scene->n_edges; e++)
        for (int i = 0; i < DIRECTIONS; i++) compare(rays, edges, e, 2.0 * ES_PI * i / DIRECTIONS, z_m, &t);
    return t;
}

/* A room with a door and a window in walls of three materials, a partition that ends, and a steel cupboard. */
static void test_no_wave_sends_more(void **state)
{
    (void)state;
    const es_panel panel[] = {
        wall_up(0, 0, 6, 0, 0.0, 2.5, BRICK_110),      wall_up(6, 0, 6, 1, 0.0, 2.5, CONCRETE_200),
        wall_up(6, 1, 6, 2, 2.1, 2.5, CONCRETE_200),   wall_up(6, 2, 6, 4, 0.0, 2.5, CONCRETE_200),
        wall_up(6, 4, 2, 5, 0.0, 2.5, BRICK_110),      wall_up(2, 5, 1, 5.25, 0.0, 0.9, BRICK_110),
        wall_up(2, 5, 1, 5.25, 0.9, 2.1, GLASS_8),     wall_up(2, 5, 1, 5.25, 2.1, 2.5, BRICK_110),
        wall_up(1, 5.25, 0, 5.5, 0.0, 2.5, BRICK_110), wall_up(0, 5.5, 0, 0, 0.0, 2.5, BRICK_110),
        wall_up(6, 3, 4, 2.8, 0.0, 2.5, GLASS_8),
    };
    const earshot_point outline[] = {{3.1, 1.2}, {3.9, 1.2}, {3.9, 1.7}, {3.1, 1.7}};
    const es_prism cupboard = {outline, 4, 0.0, 2.0, 1, CONDUCTOR};
    const es_rays_input input = {
        .panel = panel, .n_panels = sizeof panel / sizeof *panel, .prism = &cupboard, .n_prisms = 1};
    es_rays_options options = es_rays_defaults(HZ_868);
    options.space = true;
    rays_case c = case_new(input, HZ_868, (earshot_vec3){1.23, 3.37, SOURCE_Z}, options);
    for (unsigned edges = 1; edges <= 2; edges++) {
        for (double z_m = 0.3; z_m < 2.5; z_m += 0.6) {
            const tally t = compare_all(c.rays, edges, z_m);
            assert_true(t.n > 5000);
            assert_true(t.worst <= 1.0);
            assert_true(exp(t.log_slack / (double)t.n) < 2.0);
        }
    }
    case_free(&c);
}

/* The thinner the sheet in wavelengths, the narrower the peak at grazing. The wall stands in the middle of a sector,
 * then on the border of two. */
static void test_a_thin_sheet_at_low_frequencies(void **state)
{
    (void)state;
    const double frequency_hz[] = {100e6, 169e6, HZ_433, HZ_868}, turned_rad[] = {ES_PI / RAYS_SECTORS, 0.0};
    for (size_t i = 0; i < 8; i++) {
        const double f = frequency_hz[i / 2], along = turned_rad[i % 2];
        const es_panel pane = wall_up(0, 0, 4.0 * cos(along), 4.0 * sin(along), 0.0, 2.5, GLASS_4);
        es_rays_options options = es_rays_defaults(f);
        options.space = true;
        rays_case c =
            case_new((es_rays_input){.panel = &pane, .n_panels = 1}, f, (earshot_vec3){-3.13, 5.17, SOURCE_Z}, options);
        const tally t = compare_all(c.rays, 1, 1.2);
        assert_true(t.n > 1000);
        assert_true(t.worst <= 1.0);
        case_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_no_wave_sends_more),
                                       cmocka_unit_test(test_a_thin_sheet_at_low_frequencies)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
