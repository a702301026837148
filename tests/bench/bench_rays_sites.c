/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "bench/bench.h"
#include "bench/bench_rays.h"
#include "site/site.h"

static void give_up(const char *what)
{
    fprintf(stderr, "%s\n", what);
    exit(1);
}

bench_scene bench_scene_new(const es_rays_input *input, double frequency_hz, earshot_vec3 source,
                            es_rays_options options)
{
    bench_scene scene = {0};
    const double start_s = bench_seconds();
    if (es_rays_new(input, frequency_hz, source, &options, &scene.rays)) give_up("out of memory");
    scene.prepare_s = bench_seconds() - start_s;
    return scene;
}

/* ---- sites ---- */

static void append(char **at, const char *text)
{
    strcpy(*at, text);
    *at += strlen(text);
}

/* Outer walls of steel-faced panels with four gates, 24 rows of racking as metal blocks of 28 m, an office in a corner.
 */
static char *warehouse(void)
{
    char *text = malloc(20000), *at = text, line[200];
    if (!text) give_up("out of memory");
    append(&at, "plan 1\nsite \"Warehouse, generated\"\nband 868.3MHz\nground medium-dry\n"
                "need margin=6dB confidence=95%\n"
                "radio hub erp=14dBm sensitivity=-107dBm\nstorey hall level=0m height=8m\n"
                "slab metal-roof 0,0 100,0 100,60 0,60\n"
                "wall insulated-panel 0,0 100,0 100,60 0,60 0,0\n"
                "wall stud 0,10 12,10 12,0\nwall stud 6,0 6,10\ndoor 12,4 12,4.9\ndoor 2,10 2.9,10\n"
                "door 20,0 24,0 material=roller-shutter head=4m\ndoor 50,0 54,0 material=roller-shutter head=4m\n"
                "door 80,0 84,0 material=roller-shutter head=4m\ndoor 100,30 100,34 material=roller-shutter head=4m\n"
                "receiver panel 3.1,8.2 at=2.2m radio=hub\n");
    for (int row = 0; row < 24; row++) {
        const double x = 20.0 + 38.0 * (row % 2), y = 14.0 + 3.6 * (row / 2);
        snprintf(line, sizeof line, "block metal %g,%g %g,%g %g,%g %g,%g from=0m to=6m\n", x, y, x + 28.0, y, x + 28.0,
                 y + 1.2, x, y + 1.2);
        append(&at, line);
    }
    return text;
}

static earshot_plan *read_text(const char *text, const char *path)
{
    earshot_plan *plan = NULL;
    earshot_findings *findings = calloc(1, sizeof *findings);
    if (!findings) give_up("out of memory");
    const earshot_status status = text ? earshot_plan_read(text, strlen(text), path, &plan, findings)
                                       : earshot_plan_read_file(path, &plan, findings);
    if (status) give_up(findings->n_mistakes ? findings->mistake[0].message : "cannot read the plan");
    free(findings);
    return plan;
}

static earshot_plan *read_plan(size_t which)
{
    static const char *const FILES[] = {"house-garage.plan", "loft-house.plan", "office.plan"};
    char path[512], *text = which < BENCH_SITES - 1 ? NULL : warehouse();
    snprintf(path, sizeof path, BENCH_SOURCE_DIR "/floorplans/%s", text ? "" : FILES[which]);
    earshot_plan *plan = read_text(text, text ? "warehouse.plan" : path);
    free(text);
    return plan;
}

static es_rays_input input_of(const es_structure *structure)
{
    es_rays_input input = {.material = structure->material,
                           .n_materials = structure->n_materials,
                           .ground = structure->ground,
                           .ground_z_m = structure->ground_z_m};
    input.panel = es_geometry_panels(structure->geometry, &input.n_panels);
    input.sheet = es_geometry_sheets(structure->geometry, &input.n_sheets);
    input.prism = es_geometry_prisms(structure->geometry, &input.n_prisms);
    return input;
}

static bench_site site_of(const char *what, earshot_plan *plan)
{
    bench_site made = {.what = what, .plan = plan, .frequency_hz = 868.3e6};
    if (earshot_site_new(made.plan, NULL, &made.site, NULL)) give_up("cannot make the site");
    made.input = input_of(&made.site->structure);
    made.n_panels = made.input.n_panels;
    made.source = earshot_site_receiver_at(made.site, 0);
    made.storey = made.plan->receiver[0].storey;
    if (!earshot_storey_extent(made.site, made.storey, &made.low, &made.high)) give_up("an empty storey");
    return made;
}

bench_site bench_site_new(size_t which)
{
    static const char *const WHAT[] = {"House (house-garage.plan)", "Terrace (loft-house.plan)", "Office (office.plan)",
                                       "Warehouse, 100 m x 60 m"};
    return site_of(WHAT[which], read_plan(which));
}

bench_site bench_site_of(const char *what, const char *text)
{
    if (!text) give_up("out of memory");
    return site_of(what, read_text(text, what));
}

void bench_site_free(bench_site *site)
{
    earshot_site_free(site->site);
    earshot_plan_free(site->plan);
}

/* The golden ratio's multiples fill a square evenly. */
earshot_vec3 bench_site_point(const bench_site *site, size_t point, size_t n)
{
    const double across = fmod(0.6180339887 * (double)point, 1.0), along = ((double)point + 0.5) / (double)n;
    return (earshot_vec3){site->low.x_m + along * (site->high.x_m - site->low.x_m),
                          site->low.y_m + across * (site->high.y_m - site->low.y_m),
                          site->plan->storey[site->storey].level_m + 1.2};
}

/* ---- maps ---- */

static double clock_seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

double bench_fill(const bench_site *site, double cell_m)
{
    earshot_station from;
    if (earshot_receiver_station(site->site, 0, site->frequency_hz, &from)) give_up("no radio");
    const earshot_grid_request request = {
        .storey = site->storey, .cell_x_m = cell_m, .cell_y_m = cell_m, .height_m = 1.2, .radio = from.radio};
    earshot_grid grid;
    if (earshot_grid_fill(site->site, EARSHOT_MODEL_RAYS, site->frequency_hz, (earshot_need){6.0, 0.95}, &from,
                          &request, NULL, &grid))
        give_up("no map");
    const double cells = (double)(grid.rows * grid.columns);
    earshot_grid_clear(&grid);
    return cells;
}

void bench_map(const bench_site *site)
{
    const double cell_m = 0.25;
    const double start_s = bench_seconds(), clock_s = clock_seconds();
    const double cells = bench_fill(site, cell_m);
    printf("%-28s map of %.0f cells of %g m: %.2f s by the clock, %.2f s of processor time, %.3f ms a cell\n",
           site->what, cells, cell_m, clock_seconds() - clock_s, bench_seconds() - start_s,
           1e3 * (bench_seconds() - start_s) / cells);
}
