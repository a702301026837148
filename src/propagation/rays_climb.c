/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The ways to climb from the source's height to the point's: straight, or by floors and ceilings. */
#include <math.h>

#include "propagation/rays_space.h"

static double height_after(const rays_course *c, double climbed_m)
{
    double z = c->from_z, done = 0.0;
    int direction = c->direction;
    for (size_t b = 0; b < c->n_bounces && climbed_m > c->at_m[b]; b++) {
        z += direction * (c->at_m[b] - done);
        done = c->at_m[b];
        direction = -direction;
    }
    return z + direction * (climbed_m - done);
}

double es_rays_height_at(const rays_way *w, const rays_course *c, double at_m)
{
    return height_after(c, c->climb_m * at_m / w->length_m);
}

static double last_height(const rays_scene *scene, const rays_course *c)
{
    return c->n_bounces ? scene->floor[c->floor[c->n_bounces - 1]].z_m : c->from_z;
}

/* Add the course as it is, then each that bounces once more on its way. */
static void add_courses(const rays_scene *scene, rays_course c, unsigned bounces, rays_courses *all)
{
    const double last = last_height(scene, &c);
    const double done = c.n_bounces ? c.at_m[c.n_bounces - 1] : 0.0;
    const int onward = c.n_bounces % 2 ? -c.direction : c.direction;
    const bool fits = !c.n_bounces || onward * (c.to_z - last) > 0.0;
    if (fits && all->n < RAYS_MOST_COURSES) {
        rays_course whole = c;
        if (!c.n_bounces) whole.direction = c.to_z >= c.from_z ? 1 : -1;
        whole.climb_m = done + fabs(c.to_z - last);
        all->item[all->n++] = whole;
    }
    if (c.n_bounces == bounces || c.n_bounces == RAYS_MOST_BOUNCES) return;
    for (uint32_t f = 0; f < scene->n_floors; f++) {
        const double way = scene->floor[f].z_m - last;
        if (fabs(way) < RAYS_ON_FLOOR_M || (c.n_bounces && onward * way < 0.0)) continue;
        rays_course more = c;
        if (!c.n_bounces) more.direction = way > 0.0 ? 1 : -1;
        more.floor[c.n_bounces] = f;
        more.at_m[c.n_bounces] = done + fabs(way);
        more.n_bounces++;
        add_courses(scene, more, bounces, all);
    }
}

rays_courses es_rays_courses(const struct es_rays *rays, double z_m)
{
    rays_courses all = {.n = 0};
    const rays_course straight = {.from_z = rays->source_z, .to_z = z_m, .direction = 1};
    add_courses(rays->scene, straight, rays->options.floors, &all);
    return all;
}
