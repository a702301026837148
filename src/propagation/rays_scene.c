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

/* Faces go around clockwise, so that the outside is on their left. */
static bool add_faces(rays_scene *scene, const es_prism *prism)
{
    const bool clockwise = signed_area(prism) < 0.0;
    const size_t n = prism->n_outline;
    for (size_t i = 0; i < n; i++) {
        const earshot_point p = prism->outline[clockwise ? i : n - 1 - i];
        const earshot_point q = prism->outline[clockwise ? (i + 1) % n : (2 * n - 2 - i) % n];
        if (hypot(q.x_m - p.x_m, q.y_m - p.y_m) < SHORTEST_WALL_M) continue;
        if (!add_wall(scene, (rays_point){p.x_m, p.y_m}, (rays_point){q.x_m, q.y_m}, true)) return false;
        if (!add_band(scene, prism->z0_m, prism->z1_m, prism->material, prism->element)) return false;
    }
    return true;
}

static bool fill_tables(rays_scene *scene, const es_rays_input *input)
{
    scene->table = malloc((input->n_materials + 1) * sizeof *scene->table);
    if (!scene->table) return false;
    scene->n_tables = input->n_materials;
    for (size_t i = 0; i < input->n_materials; i++)
        es_rays_table_fill(&scene->table[i], &input->material[i], scene->frequency_hz);
    scene->fresnel = es_rays_fresnel_new();
    return scene->fresnel != NULL;
}

static earshot_status build(rays_scene *scene, const es_rays_input *input)
{
    if (!fill_tables(scene, input) || !add_walls(scene, input)) return EARSHOT_MEMORY;
    for (size_t i = 0; i < input->n_prisms; i++)
        if (!add_faces(scene, &input->prism[i])) return EARSHOT_MEMORY;
    const earshot_status status = es_rays_find_edges(scene);
    return status ? status : es_rays_grid_fill(scene);
}

earshot_status es_rays_scene_new(const es_rays_input *input, double frequency_hz, rays_scene **scene)
{
    *scene = NULL;
    rays_scene *s = calloc(1, sizeof *s);
    if (!s) return EARSHOT_MEMORY;
    s->frequency_hz = frequency_hz;
    s->k = 2.0 * ES_PI * frequency_hz / ES_LIGHT_M_S;
    const earshot_status status = build(s, input);
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
    free(scene->grid.start);
    free(scene->grid.wall);
    free(scene->fresnel);
    free(scene);
}

const rays_table *es_rays_wall_at(const rays_scene *scene, uint32_t wall, double z_m)
{
    const rays_wall *w = &scene->wall[wall];
    const rays_band *band = &scene->band[w->first_band];
    for (uint32_t i = 0; i < w->n_bands; i++)
        if (z_m >= band[i].z0 && z_m <= band[i].z1) return &scene->table[band[i].table];
    return NULL;
}

double es_rays_wall_t_bound(const rays_scene *scene, uint32_t wall, double cosine)
{
    const rays_wall *w = &scene->wall[wall];
    const rays_band *band = &scene->band[w->first_band];
    if (w->face) return 0.0;
    double most = 0.0;
    for (uint32_t i = 0; i < w->n_bands; i++) most = fmax(most, es_rays_t_abs(&scene->table[band[i].table], cosine));
    return most;
}

double es_rays_wall_r_bound(const rays_scene *scene, uint32_t wall, double smallest_cosine)
{
    const rays_wall *w = &scene->wall[wall];
    const rays_band *band = &scene->band[w->first_band];
    double most = 0.0;
    for (uint32_t i = 0; i < w->n_bands; i++)
        most = fmax(most, es_rays_r_bound(&scene->table[band[i].table], smallest_cosine));
    return most;
}
