/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The ground plan as the rays see it: walls as sheets on centre lines, solid conductors as faces. */
#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "base/units.h"
#include "propagation/rays_inner.h"

static const double SHORTEST_WALL_M = 1e-4;

static bool same_line(const rays_wall *wall, const es_panel *panel)
{
    return wall->a.x == panel->ax_m && wall->a.y == panel->ay_m && wall->b.x == panel->bx_m && wall->b.y == panel->by_m;
}

static bool add_wall(rays_scene *scene, rays_point a, rays_point b, bool face)
{
    void *items = scene->wall;
    if (!es_grow(&items, &scene->wall_room, scene->n_walls, sizeof *scene->wall)) return false;
    scene->wall = items;
    const double length_m = hypot(b.x - a.x, b.y - a.y);
    scene->wall[scene->n_walls++] = (rays_wall){.a = a,
                                                .b = b,
                                                .along = {(b.x - a.x) / length_m, (b.y - a.y) / length_m},
                                                .length_m = length_m,
                                                .first_band = (uint32_t)scene->n_bands,
                                                .face = face};
    return true;
}

/* A band on top of the wall added last. */
static bool add_band(rays_scene *scene, double z0, double z1, size_t material, size_t element)
{
    void *items = scene->band;
    if (!es_grow(&items, &scene->band_room, scene->n_bands, sizeof *scene->band)) return false;
    scene->band = items;
    scene->band[scene->n_bands++] = (rays_band){z0, z1, (uint32_t)material, element};
    scene->wall[scene->n_walls - 1].n_bands++;
    return true;
}

/* Panels in the order of their lines, so that those of one line follow each other. */
static int by_line(const void *p, const void *q)
{
    const es_panel *x = p, *y = q;
    const double a[5] = {x->ax_m, x->ay_m, x->bx_m, x->by_m, x->z0_m};
    const double b[5] = {y->ax_m, y->ay_m, y->bx_m, y->by_m, y->z0_m};
    for (int i = 0; i < 5; i++)
        if (a[i] != b[i]) return a[i] < b[i] ? -1 : 1;
    return (x->element > y->element) - (x->element < y->element);
}

static bool add_panels(rays_scene *scene, const es_panel *panel, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const es_panel *p = &panel[i];
        if (hypot(p->bx_m - p->ax_m, p->by_m - p->ay_m) < SHORTEST_WALL_M) continue;
        const bool stacked = scene->n_walls && same_line(&scene->wall[scene->n_walls - 1], p);
        if (!stacked && !add_wall(scene, (rays_point){p->ax_m, p->ay_m}, (rays_point){p->bx_m, p->by_m}, false))
            return false;
        if (!add_band(scene, p->z0_m, p->z1_m, p->material, p->element)) return false;
    }
    return true;
}

static bool add_walls(rays_scene *scene, const es_rays_input *input)
{
    es_panel *panel = malloc((input->n_panels + 1) * sizeof *panel);
    if (!panel) return false;
    es_rays_snap(input->panel, panel, input->n_panels);
    es_rays_snap_heights(input, panel);
    if (input->n_panels) qsort(panel, input->n_panels, sizeof *panel, by_line);
    const bool done = add_panels(scene, panel, input->n_panels);
    free(panel);
    return done;
}

static double signed_area(const es_prism *prism)
{
    double sum = 0.0;
    for (size_t i = 0; i < prism->n_outline; i++) {
        const earshot_point p = prism->outline[i], q = prism->outline[(i + 1) % prism->n_outline];
        sum += p.x_m * q.y_m - q.x_m * p.y_m;
    }
    return sum / 2.0;
}

bool es_rays_is_conductor(const es_material *material)
{
    for (size_t i = 0; i < material->n_layers; i++)
        if (material->layer[i].conductor) return true;
    return false;
}

uint32_t es_rays_block_table(const rays_scene *scene, const es_rays_input *input, const es_prism *prism)
{
    (void)scene;
    const bool conductor = es_rays_is_conductor(&input->material[prism->material]);
    return (uint32_t)(conductor ? prism->material : input->n_materials + prism->material);
}

/* Faces go around clockwise, so that the outside is on their left. */
static bool add_faces(rays_scene *scene, const es_prism *prism, uint32_t table, bool conductor)
{
    const bool clockwise = signed_area(prism) < 0.0;
    const size_t n = prism->n_outline;
    for (size_t i = 0; i < n; i++) {
        const earshot_point p = prism->outline[clockwise ? i : n - 1 - i];
        const earshot_point q = prism->outline[clockwise ? (i + 1) % n : (2 * n - 2 - i) % n];
        if (hypot(q.x_m - p.x_m, q.y_m - p.y_m) < SHORTEST_WALL_M) continue;
        if (!add_wall(scene, (rays_point){p.x_m, p.y_m}, (rays_point){q.x_m, q.y_m}, conductor)) return false;
        if (!add_band(scene, prism->z0_m, prism->z1_m, table, prism->element)) return false;
    }
    return true;
}

/* Walls come first, then the faces of solid conductors, whose corners throw shadows, then those of other blocks. */
static bool add_blocks(rays_scene *scene, const es_rays_input *input, bool conductors)
{
    for (size_t i = 0; i < input->n_prisms; i++) {
        const es_prism *prism = &input->prism[i];
        if (es_rays_is_conductor(&input->material[prism->material]) != conductors) continue;
        if (!add_faces(scene, prism, es_rays_block_table(scene, input, prism), conductors)) return false;
    }
    return true;
}

static void mark_used(const es_rays_input *input, bool *used)
{
    for (size_t i = 0; i < input->n_panels; i++) used[input->panel[i].material] = true;
    for (size_t i = 0; i < input->n_sheets; i++) used[input->sheet[i].material] = true;
    for (size_t i = 0; i < input->n_prisms; i++) {
        const size_t material = input->prism[i].material;
        used[material] = true;
        used[input->n_materials + material] = !es_rays_is_conductor(&input->material[material]);
    }
}

/* Tables of the materials, of half of each for blocks, and of the ground; those that nothing uses stay empty. */
static bool fill_tables(rays_scene *scene, const es_rays_input *input)
{
    const size_t n = input->n_materials;
    scene->n_tables = 2 * n + 1;
    scene->table = calloc(scene->n_tables, sizeof *scene->table);
    bool *used = calloc(2 * n + 1, sizeof *used);
    if (scene->table && used) {
        mark_used(input, used);
        for (size_t i = 0; i < 2 * n; i++) {
            if (!used[i]) continue;
            es_rays_table_fill(&scene->table[i], &input->material[i % n], scene->frequency_hz);
            if (i >= n) es_rays_table_halve(&scene->table[i]);
        }
        if (input->ground) es_rays_table_fill_ground(&scene->table[2 * n], input->ground, scene->frequency_hz);
        scene->fresnel = es_rays_fresnel_new();
    }
    free(used);
    return scene->fresnel != NULL;
}

/* Half of a slab lies between a wall's top and the sheet that stands for the slab; a cupboard or tank that ends lower
 * than this is looked over. */
static const double SLAB_M = 0.25;

static bool counts(const rays_scene *scene, const rays_band *band)
{
    return band->z1 > scene->low_z && band->z0 < scene->high_z;
}

/* Does something stand on the line at all heights that count? Under the open sky metal can be looked over, however
 * little stands beside it; what lets something through anyway is only bounded, and may count as if it went on. */
static bool is_closed(const rays_scene *scene, const rays_wall *w)
{
    double reached = scene->low_z + SLAB_M;
    const rays_band *band = &scene->band[w->first_band];
    if (scene->open_above && scene->table[band[w->n_bands - 1].table].opaque) return false;
    for (uint32_t i = 0; i < w->n_bands; i++) /* from the lowest up */
        if (band[i].z0 <= reached) reached = fmax(reached, band[i].z1);
    return reached >= scene->high_z - SLAB_M;
}

/* The storey of the source: from the next floor below it to the next above. */
static void find_heights(rays_scene *scene, earshot_vec3 source)
{
    const double z_m = source.z_m;
    scene->low_z = scene->high_z = z_m;
    for (size_t i = 0; i < scene->n_walls; i++) {
        const rays_band *band = &scene->band[scene->wall[i].first_band];
        for (uint32_t b = 0; b < scene->wall[i].n_bands; b++) {
            scene->low_z = fmin(scene->low_z, band[b].z0);
            scene->high_z = fmax(scene->high_z, band[b].z1);
        }
    }
    for (size_t i = 0; i < scene->n_floors; i++) {
        const double z = scene->floor[i].z_m;
        if (!es_rays_floor_covers(&scene->floor[i], (rays_point){source.x_m, source.y_m})) continue;
        if (z <= z_m) scene->low_z = fmax(scene->low_z, z);
        if (z < z_m) continue;
        scene->high_z = fmin(scene->high_z, z);
        scene->open_above = false;
    }
    for (size_t i = 0; i < scene->n_walls; i++) scene->wall[i].closed = is_closed(scene, &scene->wall[i]);
}

static earshot_status build(rays_scene *scene, const es_rays_input *input, earshot_vec3 source)
{
    if (!fill_tables(scene, input) || !add_walls(scene, input)) return EARSHOT_MEMORY;
    scene->n_sheets = scene->n_walls;
    if (!add_blocks(scene, input, true)) return EARSHOT_MEMORY;
    scene->n_solids = scene->n_walls - scene->n_sheets;
    if (!add_blocks(scene, input, false) || !es_rays_add_floors(scene, input)) return EARSHOT_MEMORY;
    if (!es_rays_find_rims(scene)) return EARSHOT_MEMORY;
    find_heights(scene, source);
    const earshot_status status = es_rays_find_edges(scene);
    return status ? status : es_rays_grid_fill(scene);
}

earshot_status es_rays_scene_new(const es_rays_input *input, double frequency_hz, earshot_vec3 source, bool space,
                                 rays_scene **scene)
{
    *scene = NULL;
    rays_scene *s = calloc(1, sizeof *s);
    if (!s) return EARSHOT_MEMORY;
    s->frequency_hz = frequency_hz;
    s->open_above = space;
    s->k = 2.0 * ES_PI * frequency_hz / ES_LIGHT_M_S;
    const earshot_status status = build(s, input, source);
    if (status)
        es_rays_scene_free(s);
    else
        *scene = s;
    return status;
}

void es_rays_scene_free(rays_scene *scene)
{
    if (!scene) return;
    free(scene->table);
    free(scene->band);
    free(scene->wall);
    free(scene->arm);
    free(scene->term);
    free(scene->edge);
    free(scene->floor);
    free(scene->rim);
    free(scene->grid.start);
    free(scene->grid.wall);
    free(scene->fresnel);
    free(scene);
}

const rays_band *es_rays_band_at(const rays_scene *scene, uint32_t wall, double z_m)
{
    const rays_wall *w = &scene->wall[wall];
    const rays_band *band = &scene->band[w->first_band];
    for (uint32_t i = 0; i < w->n_bands; i++)
        if (z_m >= band[i].z0 && z_m <= band[i].z1) return &band[i];
    return NULL;
}

const rays_table *es_rays_wall_at(const rays_scene *scene, uint32_t wall, double z_m)
{
    const rays_band *band = es_rays_band_at(scene, wall, z_m);
    return band ? &scene->table[band->table] : NULL;
}

double es_rays_wall_t_bound(const rays_scene *scene, uint32_t wall, double cosine)
{
    const rays_wall *w = &scene->wall[wall];
    const rays_band *band = &scene->band[w->first_band];
    if (!w->closed) return 1.0;
    if (w->face) return 0.0;
    double most = 0.0;
    for (uint32_t i = 0; i < w->n_bands; i++)
        if (counts(scene, &band[i])) most = fmax(most, es_rays_t_abs(&scene->table[band[i].table], cosine));
    return most;
}

double es_rays_wall_t_between(const rays_scene *scene, uint32_t wall, double cosine, double low_z, double high_z)
{
    const rays_wall *w = &scene->wall[wall];
    const rays_band *band = &scene->band[w->first_band];
    double reached = low_z, most = 0.0;
    for (uint32_t i = 0; i < w->n_bands; i++) { /* from the lowest up */
        if (band[i].z1 < reached) continue;
        if (band[i].z0 > reached) return 1.0;
        most = fmax(most, es_rays_t_abs(&scene->table[band[i].table], cosine));
        reached = band[i].z1;
        if (reached >= high_z) return most;
    }
    return 1.0;
}

double es_rays_wall_r_bound(const rays_scene *scene, uint32_t wall, double smallest_cosine)
{
    const rays_wall *w = &scene->wall[wall];
    const rays_band *band = &scene->band[w->first_band];
    double most = 0.0;
    for (uint32_t i = 0; i < w->n_bands; i++)
        if (counts(scene, &band[i])) most = fmax(most, es_rays_r_bound(&scene->table[band[i].table], smallest_cosine));
    return most;
}
