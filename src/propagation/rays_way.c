/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A path laid out on the ground plan: its corners and what each stretch meets. */
#include <math.h>

#include "propagation/rays_space.h"

/* Add one part, which ends at a target: its corners follow those that are there. */
static void add_part(const rays_scene *scene, rays_way *w, const rays_images *images, size_t image, rays_point target,
                     rays_part added)
{
    const size_t first = w->n_corners ? w->n_corners - 1 : 0;
    const uint32_t edge = w->n_corners ? w->corner[first].edge : RAYS_NONE;
    w->n_corners = first + es_rays_corners(scene, images, image, target, &w->corner[first]);
    w->corner[first].edge = edge;
    w->corner[w->n_corners - 1].edge = added.edge;
    if (!first) w->at_m[0] = 0.0;
    for (size_t i = first + 1; i < w->n_corners; i++) {
        const rays_point step = rays_minus(w->corner[i].at, w->corner[i - 1].at);
        w->at_m[i] = w->at_m[i - 1] + rays_length(step);
    }
    added.from_m = w->at_m[first];
    added.length_m = w->at_m[w->n_corners - 1] - added.from_m;
    added.leaves = rays_angle(w->corner[first].at, w->corner[first + 1].at);
    added.arrives = rays_angle(w->corner[w->n_corners - 1].at, w->corner[w->n_corners - 2].at);
    w->part[w->n_parts++] = added;
    w->length_m = w->at_m[w->n_corners - 1];
}

static rays_part part_of(const struct es_rays *rays, const rays_wave *wave, size_t edge)
{
    return (rays_part){.hit = wave->n_hits ? &rays->hits.item[wave->first_hit] : NULL,
                       .n_hits = wave->n_hits,
                       .edge = (uint32_t)edge,
                       .slope_face = wave->slope_face};
}

void es_rays_lay_out(const struct es_rays *rays, const struct es_rays_work *work, const rays_path *path, rays_point p,
                     rays_way *w)
{
    const rays_scene *scene = rays->scene;
    const rays_hit *hits = path->n_hits ? &work->kept.item[path->first_hit] : NULL;
    rays_part last = {.hit = hits, .n_hits = path->n_hits, .edge = RAYS_NONE};
    last.slope_face = RAYS_NONE;
    w->n_corners = w->n_parts = 0;
    if (path->edge == RAYS_NONE) {
        add_part(scene, w, &rays->images, path->image, p, last);
        return;
    }
    size_t edge[RAYS_MOST_EDGES];
    const rays_wave *wave[RAYS_MOST_EDGES];
    const uint32_t n = path->n_edges;
    edge[n - 1] = path->edge;
    wave[n - 1] = &rays->waves[n - 1].item[path->wave];
    for (uint32_t i = n - 1; i > 0; i--) {
        edge[i - 1] = wave[i]->from_edge;
        wave[i - 1] = &rays->waves[i - 1].item[wave[i]->from_wave];
    }
    for (uint32_t i = 0; i < n; i++) {
        const rays_images *images = i ? &rays->edge_image[edge[i - 1]] : &rays->images;
        add_part(scene, w, images, i ? 0 : wave[0]->image, scene->edge[edge[i]].at, part_of(rays, wave[i], edge[i]));
    }
    add_part(scene, w, &rays->edge_image[path->edge], path->image, p, last);
}

rays_point es_rays_point_at(const rays_way *w, double at_m)
{
    size_t i = 1;
    while (i + 1 < w->n_corners && w->at_m[i] < at_m) i++;
    const double step = w->at_m[i] - w->at_m[i - 1];
    const double share = step > 0.0 ? (at_m - w->at_m[i - 1]) / step : 0.0;
    const rays_point a = w->corner[i - 1].at, b = w->corner[i].at;
    return (rays_point){a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
}
