/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the local mean owes to the materials' losses. The power is the sum of the paths' powers, so 1 dB more loss of a
 * material takes from it, in dB, the paths' shares of the power times how often each passes through the material. A
 * material is wrong in the same way everywhere, materials are wrong independently (as in direct.c). Reflections do not
 * count: a material's loss and its reflection are not known to go together. */
#include <math.h>

#include "base/arena.h"
#include "propagation/rays_inner.h"

void es_rays_note_pass(const rays_scene *scene, struct es_rays_work *work, const rays_table *table)
{
    void *items = work->passed;
    if (!es_grow(&items, &work->passed_room, work->n_passed, sizeof *work->passed)) {
        work->no_memory = true;
        return;
    }
    work->passed = items;
    work->passed[work->n_passed++] = (uint32_t)(table - scene->table);
}

/* Add one path's passes, weighted by its power; the two faces of a block make one pass. */
static void add_passes(const struct es_rays_work *work, const rays_path *path, size_t n_materials, double *weight)
{
    const double size = rays_size(path->amplitude), power = size * size;
    for (size_t i = 0; i < path->n_passes; i++) {
        const size_t table = work->passed[path->first_pass + i];
        if (table < n_materials)
            weight[table] += power;
        else if (table < 2 * n_materials)
            weight[table - n_materials] += 0.5 * power;
    }
}

double es_rays_spread_db(const es_rays *rays, es_rays_work *work, const es_material *material)
{
    const size_t n = (rays->scene->n_tables - 1) / 2;
    double power = 0.0, squares = 0.0;
    for (size_t m = 0; m < n; m++) work->weight[m] = 0.0;
    for (size_t i = 0; i < work->n_risen; i++) {
        const double size = rays_size(work->risen[i].amplitude);
        power += size * size;
        add_passes(work, &work->risen[i], n, work->weight);
    }
    if (!(power > 0.0)) return 0.0;
    for (size_t m = 0; m < n; m++) squares += pow(material[m].spread_db * work->weight[m] / power, 2.0);
    return sqrt(squares);
}
