/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the rays model's settings cost and bring. First the reference fields of the plane: time and paths a point
 * against the error, and what pruning alone changes. Then three buildings in space, where there is no truth to compare
 * with: time, paths, and the difference from the thorough setting. */
#include "bench/bench_rays.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench/bench.h"
#include "reference/field_plan.h"

static es_rays_options link_settings(double frequency_hz)
{
    return es_rays_defaults(frequency_hz);
}

static es_rays_options map_settings(double frequency_hz)
{
    return es_rays_map_defaults(frequency_hz);
}

static es_rays_options orders(double frequency_hz, unsigned reflections, unsigned before, unsigned after)
{
    es_rays_options options = es_rays_defaults(frequency_hz);
    options.reflections = reflections;
    options.before = before;
    options.after = after;
    return options;
}

/* No diffraction: no field is strong enough for an edge. */
static es_rays_options only_reflections(double frequency_hz)
{
    es_rays_options options = orders(frequency_hz, 4, 0, 0);
    options.field_floor = 1e3;
    options.edges = 1;
    options.over = false;
    return options;
}

static es_rays_options one_edge(double frequency_hz)
{
    es_rays_options options = es_rays_defaults(frequency_hz);
    options.edges = 1;
    return options;
}

static es_rays_options two_edges(double frequency_hz)
{
    es_rays_options options = es_rays_defaults(frequency_hz);
    options.edges = 2;
    return options;
}

static es_rays_options thin_ends(double frequency_hz)
{
    es_rays_options options = es_rays_defaults(frequency_hz);
    options.thick_ends = false;
    return options;
}

static es_rays_options kept(double frequency_hz, double keep_db)
{
    es_rays_options options = es_rays_defaults(frequency_hz);
    options.keep_db = keep_db;
    return options;
}

static es_rays_options floors(double frequency_hz, double factor)
{
    es_rays_options options = es_rays_defaults(frequency_hz);
    options.product_floor *= factor;
    options.edge_floor *= factor;
    options.field_floor *= factor;
    return options;
}

static es_rays_options thorough(double frequency_hz)
{
    es_rays_options options = orders(frequency_hz, 4, 3, 2);
    options.product_floor = options.edge_floor = 3e-3;
    options.field_floor = 3e-4;
    return options;
}

/* clang-format off */
static es_rays_options orders_1_0_0(double f) { return orders(f, 1, 0, 0); }
static es_rays_options orders_2_1_0(double f) { return orders(f, 2, 1, 0); }
static es_rays_options orders_2_1_1(double f) { return orders(f, 2, 1, 1); }
static es_rays_options orders_3_1_1(double f) { return orders(f, 3, 1, 1); }
static es_rays_options orders_4_2_0(double f) { return orders(f, 4, 2, 0); }
static es_rays_options orders_4_2_2(double f) { return orders(f, 4, 2, 2); }
static es_rays_options orders_5_2_1(double f) { return orders(f, 5, 2, 1); }
static es_rays_options kept_15(double f) { return kept(f, 15.0); }
static es_rays_options kept_20(double f) { return kept(f, 20.0); }
static es_rays_options kept_30(double f) { return kept(f, 30.0); }
static es_rays_options kept_45(double f) { return kept(f, 45.0); }
static es_rays_options floors_3(double f) { return floors(f, 3.0); }
static es_rays_options floors_tenth(double f) { return floors(f, 0.1); }
/* clang-format on */

typedef struct setting {
    const char *name;
    es_rays_options (*options)(double frequency_hz);
} setting;

static const setting SETTINGS[] = {
    {"**default: 4, 2 before, 1 after, 25 dB**", link_settings},
    {"map: 2, 1 before, 0 after, 20 dB", map_settings},
    {"reflections alone: 4", only_reflections},
    {"1, 0 before, 0 after", orders_1_0_0},
    {"2, 1 before, 0 after", orders_2_1_0},
    {"2, 1 before, 1 after", orders_2_1_1},
    {"3, 1 before, 1 after", orders_3_1_1},
    {"4, 2 before, 0 after", orders_4_2_0},
    {"4, 2 before, 2 after", orders_4_2_2},
    {"5, 2 before, 1 after", orders_5_2_1},
    {"default, one edge", one_edge},
    {"default, two edges in a row", two_edges},
    {"default, thin ends of walls", thin_ends},
    {"default, keep 15 dB", kept_15},
    {"default, keep 20 dB", kept_20},
    {"default, keep 30 dB", kept_30},
    {"default, keep 45 dB", kept_45},
    {"default, floors x 3", floors_3},
    {"default, floors / 10", floors_tenth},
    {"thorough: 4, 3 before, 2 after, floors / 3", thorough},
};
enum { N_SETTINGS = sizeof SETTINGS / sizeof SETTINGS[0], THOROUGH = N_SETTINGS - 1 };

/* ---- the reference fields ---- */

enum { N_FIELDS = 12, MOST_POINTS = N_FIELDS * FIELD_MAX_POINTS };

typedef struct run {
    double gain_db[MOST_POINTS], truth_db[MOST_POINTS];
    size_t field[MOST_POINTS], n;
    double seconds, prepare_s, paths;
} run;

static void take_points(const bench_scene *scene, const field_point *point, size_t n, size_t every, size_t field,
                        run *r)
{
    es_rays_work *work = es_rays_work_new(scene->rays);
    const double start_s = bench_seconds();
    for (size_t i = field % every; i < n; i += every) {
        es_rays_result result;
        const earshot_vec3 at = {point[i].x_m, point[i].y_m, 0.0};
        if (!work || es_rays_at(scene->rays, work, at, (es_rays_antennas){0}, &result)) exit(1);
        r->gain_db[r->n] = 10.0 * log10(fmax(result.mean, 1e-20));
        r->truth_db[r->n] = point[i].gain_db;
        r->field[r->n++] = field;
        r->paths += (double)result.n_paths;
    }
    r->seconds += bench_seconds() - start_s;
    es_rays_work_free(work);
}

static void take_field(size_t field, const setting *s, size_t every, run *r)
{
    static const char *const NAME[] = {"s01", "s02", "s04", "s05", "s07", "s10"};
    static field_point point[FIELD_MAX_POINTS];
    const double frequency_hz = field % 2 ? 868.3e6 : 433.92e6;
    char path[512];
    snprintf(path, sizeof path, BENCH_SOURCE_DIR "/tests/reference/fields/2d/%s.json", NAME[field / 2]);
    field_plan *plan = field_plan_read(path, 2);
    snprintf(path, sizeof path, BENCH_SOURCE_DIR "/tests/reference/fields/2d/%s_%s.csv", NAME[field / 2],
             field % 2 ? "868" : "433");
    const size_t n = field_points_read(path, 2, point);
    const es_rays_input input = {.panel = plan->panel,
                                 .n_panels = plan->n_panels,
                                 .prism = plan->prism,
                                 .n_prisms = plan->n_prisms,
                                 .material = plan->material,
                                 .n_materials = plan->n_materials};
    const bench_scene scene = bench_scene_new(&input, frequency_hz, plan->source, s->options(frequency_hz));
    r->prepare_s = fmax(r->prepare_s, scene.prepare_s);
    take_points(&scene, point, n, every, field, r);
    es_rays_free(scene.rays);
    free(plan);
}

static double rms(const run *r, const double *other)
{
    double sum = 0.0;
    for (size_t i = 0; i < r->n; i++) sum += pow(r->gain_db[i] - other[i], 2.0);
    return sqrt(sum / (double)r->n);
}

/* As if each field had as many points as any other. */
static double rms_by_field(const run *r)
{
    double sum[N_FIELDS] = {0}, n[N_FIELDS] = {0}, total = 0.0;
    for (size_t i = 0; i < r->n; i++) {
        sum[r->field[i]] += pow(r->gain_db[i] - r->truth_db[i], 2.0);
        n[r->field[i]] += 1.0;
    }
    for (size_t f = 0; f < N_FIELDS; f++) total += sum[f] / n[f] / N_FIELDS;
    return sqrt(total);
}

static void take_all(const setting *s, size_t every, run *r)
{
    memset(r, 0, sizeof *r);
    for (size_t f = 0; f < N_FIELDS; f++) take_field(f, s, every, r);
}

static void compare_settings_on_fields(size_t every)
{
    static run first, r;
    take_all(&SETTINGS[0], every, &first);
    printf("Reference fields, %zu points:\n\n", first.n);
    printf("| setting | ms/point | paths/point | preparing, ms at most | RMSE, dB | each field the same | from "
           "default, dB "
           "|\n|---|---|---|---|---|---|---|\n");
    for (size_t i = 0; i < N_SETTINGS; i++) {
        take_all(&SETTINGS[i], every, &r);
        printf("| %s | %.2f | %.0f | %.0f | %.2f | %.2f | %.2f |\n", SETTINGS[i].name, 1e3 * r.seconds / (double)r.n,
               r.paths / (double)r.n, 1e3 * r.prepare_s, rms(&r, r.truth_db), rms_by_field(&r), rms(&r, first.gain_db));
        fflush(stdout);
    }
    putchar('\n');
}

/* ---- buildings ---- */

static void take_site(const bench_site *site, const setting *s, size_t n_points, run *r)
{
    memset(r, 0, sizeof *r);
    es_rays_options options = s->options(site->frequency_hz);
    options.space = true;
    const bench_scene scene = bench_scene_new(&site->input, site->frequency_hz, site->source, options);
    es_rays_work *work = es_rays_work_new(scene.rays);
    r->prepare_s = scene.prepare_s;
    const double start_s = bench_seconds();
    for (size_t p = 0; p < n_points; p++) {
        es_rays_result result;
        const earshot_vec3 at = bench_site_point(site, p, n_points);
        if (!work || es_rays_at(scene.rays, work, at, (es_rays_antennas){0}, &result)) exit(1);
        r->gain_db[r->n++] = 10.0 * log10(fmax(result.mean, 1e-20));
        r->paths += (double)result.n_paths;
    }
    r->seconds = bench_seconds() - start_s;
    es_rays_work_free(work);
    es_rays_free(scene.rays);
}

static void compare_settings_in(const bench_site *site, size_t n_points)
{
    static run best, r;
    take_site(site, &SETTINGS[THOROUGH], n_points, &best);
    printf("%s, %zu pieces of wall, %zu points on the receiver's storey:\n\n", site->what, site->n_panels, n_points);
    printf("| setting | ms/point | paths/point | preparing, ms | from thorough, dB |\n|---|---|---|---|---|\n");
    for (size_t i = 0; i < N_SETTINGS; i++) {
        take_site(site, &SETTINGS[i], n_points, &r);
        printf("| %s | %.2f | %.0f | %.0f | %.2f |\n", SETTINGS[i].name, 1e3 * r.seconds / (double)r.n,
               r.paths / (double)r.n, 1e3 * r.prepare_s, rms(&r, best.gain_db));
        fflush(stdout);
    }
    putchar('\n');
}

static void measure_buildings(bool maps, size_t n_points)
{
    for (size_t i = 0; i < BENCH_SITES; i++) {
        bench_site site = bench_site_new(i);
        if (maps)
            bench_map(&site);
        else
            compare_settings_in(&site, n_points);
        bench_site_free(&site);
    }
}

/* bench_rays [fields|buildings|maps|growth [N]]: every N-th point of the fields (5), N points of each building (40). */
int main(int argc, char **argv)
{
    const char *part = argc > 1 ? argv[1] : "";
    const size_t n = argc > 2 ? (size_t)atoi(argv[2]) : 0;
    bench_print_machine();
    if (!*part || strcmp(part, "fields") == 0) compare_settings_on_fields(n ? n : 5);
    if (!*part || strcmp(part, "buildings") == 0) measure_buildings(false, n ? n : 40);
    if (!*part || strcmp(part, "maps") == 0) measure_buildings(true, 0);
    if (!*part || strcmp(part, "growth") == 0) bench_growth();
    return 0;
}
