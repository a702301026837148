/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A path told: what it passes, is reflected by and bends round. */
#include <math.h>

#include "base/units.h"
#include "propagation/rays_space.h"

static void note(earshot_path *account, earshot_deed deed, size_t element, rays_point p, double z_m, double along_m)
{
    if (account->n_meetings == EARSHOT_MOST_MEETINGS) return;
    size_t i = account->n_meetings++;
    while (i > 0 && account->meeting[i - 1].along_m > along_m) {
        account->meeting[i] = account->meeting[i - 1];
        i--;
    }
    account->meeting[i] = (earshot_meeting){deed, element, {p.x, p.y, z_m}, along_m};
}

/* A way on one of its courses. */
typedef struct told {
    const rays_scene *scene;
    const rays_way *way;
    const rays_course *course;
} told;

static void note_walls(const told *r, earshot_path *account)
{
    const rays_scene *scene = r->scene;
    for (size_t p = 0; p < r->way->n_parts; p++) {
        const rays_part *stretch = &r->way->part[p];
        for (size_t i = 0; i < stretch->n_hits; i++) {
            const double along_m = stretch->from_m + stretch->hit[i].at_m,
                         z_m = es_rays_height_at(r->way, r->course, along_m);
            const rays_band *band = es_rays_band_at(scene, stretch->hit[i].wall, z_m);
            if (!band) continue;
            note(account, stretch->hit[i].reflects ? EARSHOT_REFLECTED : EARSHOT_PASSES, band->element,
                 es_rays_point_at(r->way, along_m), z_m, along_m);
        }
        if (stretch->edge == RAYS_NONE) continue;
        const rays_edge *edge = &scene->edge[stretch->edge];
        const double along_m = stretch->from_m + stretch->length_m;
        note(account, EARSHOT_DIFFRACTED, scene->band[scene->wall[scene->arm[edge->first_arm].wall].first_band].element,
             edge->at, es_rays_height_at(r->way, r->course, along_m), along_m);
    }
}

static void note_floors(const told *r, earshot_path *account)
{
    const rays_scene *scene = r->scene;
    const rays_course *c = r->course;
    double z = c->from_z, done = 0.0;
    for (size_t b = 0; b <= c->n_bounces; b++) {
        const double next = b < c->n_bounces ? scene->floor[c->floor[b]].z_m : c->to_z;
        for (uint32_t f = 0; f < scene->n_floors; f++) {
            const rays_floor *floor = &scene->floor[f];
            const bool bounces = b < c->n_bounces && f == c->floor[b];
            const bool passes =
                floor->z_m > fmin(z, next) + RAYS_ON_FLOOR_M && floor->z_m < fmax(z, next) - RAYS_ON_FLOOR_M;
            if (!bounces && !passes) continue;
            const double along_m = r->way->length_m * (done + fabs(floor->z_m - z)) / c->climb_m;
            const rays_point p = es_rays_point_at(r->way, along_m);
            if (!es_rays_floor_covers(floor, p)) continue;
            note(account, bounces ? EARSHOT_REFLECTED : EARSHOT_PASSES, floor->element, p, floor->z_m, along_m);
        }
        done += fabs(next - z);
        z = next;
    }
}

static earshot_path account_of(const struct es_rays *rays, struct es_rays_work *work, const rays_path *path)
{
    const rays_point level = rays_minus(work->point, rays->source);
    const double straight_m = hypot(rays_length(level), work->point_z - rays->source_z);
    earshot_path account = {.gain_db = 20.0 * log10(cabs(path->amplitude) * straight_m), .length_m = path->length_m};
    if (path->candidate == RAYS_NONE) {
        note(&account, EARSHOT_DIFFRACTED, path->over_element, path->over_at, path->over_z, 0.0);
        return account;
    }
    const rays_courses all = es_rays_courses(rays, work->point_z);
    rays_way w;
    es_rays_lay_out(rays, work, &work->path[path->candidate], work->point, &w);
    const told r = {.scene = rays->scene, .way = &w, .course = &all.item[path->course]};
    note_walls(&r, &account);
    note_floors(&r, &account);
    return account;
}

static bool stronger(const rays_path *p, const rays_path *q)
{
    const double a = cabs(p->amplitude), b = cabs(q->amplitude);
    return a != b ? a > b : p->length_m < q->length_m;
}

size_t es_rays_strongest(const es_rays *rays, es_rays_work *work, earshot_path *account, size_t limit)
{
    size_t n = 0;
    for (; n < limit && n < work->n_risen; n++) {
        size_t best = n;
        for (size_t i = n + 1; i < work->n_risen; i++)
            if (stronger(&work->risen[i], &work->risen[best])) best = i;
        const rays_path swapped = work->risen[n];
        work->risen[n] = work->risen[best];
        work->risen[best] = swapped;
        account[n] = account_of(rays, work, &work->risen[n]);
    }
    return n;
}
