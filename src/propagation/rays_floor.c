/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What lies flat: slabs, tops and bottoms of blocks, the ground. */
#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "propagation/rays_inner.h"

/* Less than the ends are moved off the grid (rays.c), so that a ray past a rim is on one side of it. */
static const double ON_OUTLINE_M = 1e-9;

static bool add_floor(rays_scene *scene, rays_floor floor)
{
    void *items = scene->floor;
    if (!es_grow(&items, &scene->floor_room, scene->n_floors, sizeof floor)) return false;
    scene->floor = items;
    size_t i = scene->n_floors++;
    while (i > 0 && scene->floor[i - 1].z_m > floor.z_m) {
        scene->floor[i] = scene->floor[i - 1];
        i--;
    }
    scene->floor[i] = floor;
    return true;
}

static bool add_lid(rays_scene *scene, const es_prism *prism, uint32_t table, double z_m)
{
    return add_floor(scene, (rays_floor){.outline = prism->outline,
                                         .n_outline = prism->n_outline,
                                         .z_m = z_m,
                                         .table = table,
                                         .element = prism->element});
}

bool es_rays_add_floors(rays_scene *scene, const es_rays_input *input)
{
    for (size_t i = 0; i < input->n_sheets; i++) {
        const es_sheet *sheet = &input->sheet[i];
        const rays_floor floor = {.outline = sheet->outline,
                                  .n_outline = sheet->n_outline,
                                  .hole = sheet->hole,
                                  .n_hole = sheet->n_hole,
                                  .n_holes = sheet->n_holes,
                                  .z_m = sheet->z_m,
                                  .table = (uint32_t)sheet->material,
                                  .element = sheet->element,
                                  .slab = true};
        if (!add_floor(scene, floor)) return false;
    }
    for (size_t i = 0; i < input->n_prisms; i++) {
        const es_prism *prism = &input->prism[i];
        const uint32_t table = es_rays_block_table(scene, input, prism);
        if (!add_lid(scene, prism, table, prism->z0_m) || !add_lid(scene, prism, table, prism->z1_m)) return false;
    }
    if (!input->ground) return true;
    const rays_floor ground = {.z_m = input->ground_z_m, .table = (uint32_t)(scene->n_tables - 1), .element = SIZE_MAX};
    return add_floor(scene, ground);
}

static bool inside(const earshot_point *corner, size_t n, rays_point p)
{
    return es_polygon_contains(corner, n, (earshot_point){p.x, p.y}, ON_OUTLINE_M);
}

bool es_rays_floor_covers(const rays_floor *floor, rays_point p)
{
    if (!floor->outline) return true;
    if (!inside(floor->outline, floor->n_outline, p)) return false;
    for (size_t i = 0; i < floor->n_holes; i++)
        if (inside(floor->hole[i], floor->n_hole[i], p)) return false;
    return true;
}
