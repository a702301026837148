/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Specular reflections by mirror images. Each image sees the world only through the lit part of its last wall; that
 * beam is cut down wall by wall, so that an image is kept only if its sequence of walls can be met at all, and a point
 * lies in the beam just if the path exists. */
#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "propagation/rays_inner.h"

/* A source this near a wall's line is on it: it mirrors into itself. */
static const double ON_LINE_M = 0.02;
static const double NARROWEST_M = 1e-6;

enum { MOST_IMAGES = 1 << 20, MOST_REFLECTIONS = 8 };

bool es_rays_in_beam(const rays_image *image, rays_point target)
{
    const rays_point to = rays_minus(target, image->at);
    if (rays_cross(rays_minus(image->right, image->at), to) < 0.0) return false;
    if (rays_cross(rays_minus(image->left, image->at), to) > 0.0) return false;
    return rays_cross(rays_minus(image->left, image->right), rays_minus(target, image->right)) < 0.0;
}

/* Keep the part of from..to (metres along the wall) on the inner side of a border through `on`, in direction `along`:
 * inside means cross(along, X - on) * sign >= 0. */
static void cut(const rays_wall *wall, rays_point on, rays_point along, double sign, double *from, double *to)
{
    const double at_a = sign * rays_cross(along, rays_minus(wall->a, on));
    const double slope = sign * rays_cross(along, wall->along);
    if (slope == 0.0) {
        if (at_a < 0.0) *to = -INFINITY;
        return;
    }
    const double crossing = -at_a / slope;
    if (slope > 0.0)
        *from = fmax(*from, crossing);
    else
        *to = fmin(*to, crossing);
}

/* The part of a wall that an image's beam lights. */
static bool lit_part(const rays_image *image, const rays_wall *wall, double *from, double *to)
{
    *from = 0.0;
    *to = wall->length_m;
    if (image->order) {
        cut(wall, image->at, rays_minus(image->right, image->at), 1.0, from, to);
        cut(wall, image->at, rays_minus(image->left, image->at), -1.0, from, to);
        cut(wall, image->right, rays_minus(image->left, image->right), -1.0, from, to);
    }
    return *to - *from > NARROWEST_M;
}

static rays_point along(const rays_wall *wall, double at_m)
{
    return (rays_point){wall->a.x + at_m * wall->along.x, wall->a.y + at_m * wall->along.y};
}

/* Mirror an image in a wall; false if the wall is not lit or can throw back too little. */
static bool mirror(const rays_scene *scene, const rays_image *image, int32_t parent, uint32_t number, double floor,
                   rays_image *mirrored)
{
    const rays_wall *wall = &scene->wall[number];
    const double height = rays_cross(wall->along, rays_minus(image->at, wall->a)); /* left of the wall: above 0 */
    double from, to;
    if (fabs(height) < ON_LINE_M || (wall->face && height < 0.0) || !lit_part(image, wall, &from, &to)) return false;
    const double foot = rays_dot(rays_minus(image->at, wall->a), wall->along);
    const double farthest = fmax(fabs(from - foot), fabs(to - foot));
    const double bound = image->r_bound * es_rays_wall_r_bound(scene, number, fabs(height) / hypot(height, farthest));
    if (bound < floor) return false;
    const rays_point start = along(wall, from), end = along(wall, to);
    *mirrored =
        (rays_image){.at = {image->at.x + 2.0 * height * wall->along.y, image->at.y - 2.0 * height * wall->along.x},
                     .left = height > 0.0 ? start : end,
                     .right = height > 0.0 ? end : start,
                     .wall = number,
                     .parent = parent,
                     .order = image->order + 1,
                     .sent = image->sent,
                     .away_m = hypot(height, fmax(0.0, fmax(from - foot, foot - to))),
                     .r_bound = bound};
    return true;
}

static bool add(rays_images *images, rays_image image)
{
    void *items = images->item;
    if (!es_grow(&items, &images->room, images->n, sizeof image)) return false;
    images->item = items;
    images->item[images->n++] = image;
    return true;
}

/* An edge's own walls, and those in line with them, have it on their line and mirror nothing; ON_LINE_M sees to the
 * walls, merged ends may lie a little farther off. */
static bool owns(const rays_scene *scene, const rays_edge *own, uint32_t wall)
{
    for (uint32_t i = 0; i < own->n_arms; i++)
        if (scene->arm[own->first_arm + i].wall == wall) return true;
    return false;
}

/* The most that an edge sends to the lit part of a mirror. */
static double sent_to(const rays_sender *sender, const rays_image *mirrored)
{
    const rays_point at = sender->edge->at;
    const uint32_t last = rays_sector(rays_angle(at, mirrored->right)); /* the beam turns clockwise when mirrored */
    uint32_t i = rays_sector(rays_angle(at, mirrored->left));
    float most = sender->most[i];
    while (i != last) {
        i = (i + 1) % RAYS_SECTORS;
        most = fmaxf(most, sender->most[i]);
    }
    return (double)most;
}

static bool is_out_of_reach(const rays_sender *sender, const rays_wall *wall)
{
    const double half_m = 0.5 * wall->length_m;
    const rays_point middle = {wall->a.x + half_m * wall->along.x, wall->a.y + half_m * wall->along.y};
    return rays_length(rays_minus(middle, sender->edge->at)) - half_m > sender->reach_m;
}

/* Does enough of what the edge sends come to the mirror and back? The source is always sent. t_seen: of what lies
 * before the mirror. */
static bool is_sent(const rays_sender *sender, const rays_image *mirrored, double t_seen)
{
    return !sender || mirrored->sent * mirrored->r_bound * t_seen / sqrt(mirrored->away_m) >= sender->field_floor;
}

/* Where the line from an image to a point passes through the image's wall. */
static rays_point foot_on(const rays_scene *scene, const rays_image *image, rays_point p)
{
    const rays_wall *wall = &scene->wall[image->wall];
    const double here = rays_cross(wall->along, rays_minus(image->at, wall->a));
    const double there = rays_cross(wall->along, rays_minus(p, wall->a));
    const double share = here / (here - there);
    return (rays_point){image->at.x + share * (p.x - image->at.x), image->at.y + share * (p.y - image->at.y)};
}

static void set_end(const rays_scene *scene, const rays_edge *edge, uint32_t wall, int which, rays_ends *ends)
{
    ends->arm[which] = edge ? &scene->arm[edge->first_arm] : NULL;
    ends->n_arms[which] = edge ? edge->n_arms : 0;
    ends->wall[which] = wall;
}

/* ---- what the beam passes on its way to the mirror ---- */

/* One ray a step along the lit part is looked at, and a few at least. */
static const double SAMPLE_M = 1.5;
enum { FEWEST_SAMPLES = 3, MOST_SAMPLES = 9 };

/* The rays looked at may miss a gap, so what they let through is doubted by this factor. */
static const double DOUBT = 2.0;

/* The most that a few rays of the beam keep on the last leg before the image's wall. */
static double seen_through(const rays_scene *scene, rays_tracer *tracer, const rays_image *before, const rays_edge *own,
                           const rays_image *image)
{
    const rays_point span = rays_minus(image->right, image->left);
    const double wanted = rays_length(span) / SAMPLE_M;
    const int n = wanted > MOST_SAMPLES - FEWEST_SAMPLES ? MOST_SAMPLES : FEWEST_SAMPLES + (int)wanted;
    rays_ends ends;
    set_end(scene, before->order ? NULL : own, before->wall, 0, &ends);
    set_end(scene, NULL, image->wall, 1, &ends);
    double most = 0.0;
    for (int i = 0; i < n; i++) {
        const double share = (i + 0.5) / n;
        const rays_point to = {image->left.x + share * span.x, image->left.y + share * span.y};
        const rays_point from = before->order ? foot_on(scene, before, to) : before->at;
        double kept = 1.0;
        tracer->hits.n = 0;
        if (es_rays_trace_leg(scene, tracer, from, to, &ends, 0.0, most, &kept)) most = fmax(most, kept);
    }
    return most;
}

static earshot_status grow(const rays_scene *scene, rays_tracer *tracer, const rays_sender *sender, unsigned order,
                           double floor, rays_images *images)
{
    const rays_edge *own = sender ? sender->edge : NULL;
    for (size_t i = 0; i < images->n && images->item[i].order < order; i++) {
        for (uint32_t wall = 0; wall < scene->n_walls && images->n < MOST_IMAGES; wall++) {
            const rays_image image = images->item[i];
            rays_image mirrored;
            if (wall == image.wall || (own && image.order == 0 && owns(scene, own, wall))) continue;
            if (own && is_out_of_reach(sender, &scene->wall[wall])) continue;
            if (!mirror(scene, &image, (int32_t)i, wall, floor / image.t_seen, &mirrored)) continue;
            if (own && image.order == 0) mirrored.sent = sent_to(sender, &mirrored);
            if (!is_sent(sender, &mirrored, image.t_seen)) continue;
            mirrored.t_seen = image.t_seen * fmin(1.0, DOUBT * seen_through(scene, tracer, &image, own, &mirrored));
            if (mirrored.r_bound * mirrored.t_seen < floor) continue;
            if (!is_sent(sender, &mirrored, mirrored.t_seen)) continue;
            if (tracer->no_memory || !add(images, mirrored)) return EARSHOT_MEMORY;
        }
    }
    return EARSHOT_OK;
}

earshot_status es_rays_images_new(const rays_scene *scene, rays_tracer *tracer, rays_point source,
                                  const rays_sender *sender, unsigned order, double floor, rays_images *images)
{
    *images = (rays_images){0};
    const rays_image itself = {.at = source, .wall = RAYS_NONE, .parent = -1, .r_bound = 1.0, .t_seen = 1.0};
    if (!add(images, itself)) return EARSHOT_MEMORY;
    return grow(scene, tracer, sender, order, floor, images);
}

void es_rays_images_clear(rays_images *images)
{
    free(images->item);
    *images = (rays_images){0};
}

static double length_of(rays_point p, rays_point q)
{
    return rays_length(rays_minus(p, q));
}

/* Corner 0 is the source, corner order + 1 the target. */
size_t es_rays_corners(const rays_scene *scene, const rays_images *images, size_t image, rays_point target,
                       rays_corner *corners)
{
    const size_t order = images->item[image].order;
    corners[order + 1] = (rays_corner){target, RAYS_NONE, RAYS_NONE};
    corners[0] = (rays_corner){images->item[0].at, RAYS_NONE, RAYS_NONE};
    for (size_t i = order; i > 0; i--) {
        const rays_image *from = &images->item[image];
        corners[i] = (rays_corner){foot_on(scene, from, corners[i + 1].at), from->wall, RAYS_NONE};
        image = (size_t)from->parent;
    }
    return order + 2;
}

rays_point es_rays_depart(const rays_scene *scene, const rays_images *images, size_t image, rays_point target)
{
    while (images->item[image].order) {
        target = foot_on(scene, &images->item[image], target);
        image = (size_t)images->item[image].parent;
    }
    return target;
}

static bool reflect(const rays_scene *scene, rays_tracer *tracer, const rays_corner *c, double at_m, double floor,
                    double *bound)
{
    const rays_wall *wall = &scene->wall[c->wall];
    const rays_point way = rays_minus(c->at, c[-1].at);
    const double cosine = fabs(rays_cross(wall->along, way)) / rays_length(way);
    *bound *= es_rays_wall_r_bound(scene, c->wall, cosine);
    if (*bound < floor) return false;
    return es_rays_add_hit(tracer, (rays_hit){.wall = c->wall, .reflects = true, .at_m = at_m, .cosine = cosine});
}

/* All reflections, which cost little to look at. False when they throw back too little. */
static bool reflect_all(const rays_scene *scene, rays_tracer *tracer, const rays_corner *corners, size_t order,
                        double floor, rays_chain *chain)
{
    for (size_t i = 0; i <= order; i++) {
        chain->length_m += length_of(corners[i].at, corners[i + 1].at);
        if (i < order && !reflect(scene, tracer, &corners[i + 1], chain->length_m, floor, &chain->bound)) return false;
    }
    return true;
}

static bool follow(const rays_scene *scene, rays_tracer *tracer, const rays_corner *corners, size_t order,
                   const rays_edge *from, const rays_edge *to, double floor, rays_chain *chain)
{
    double done_m = 0.0;
    if (!reflect_all(scene, tracer, corners, order, floor, chain)) return false;
    for (size_t i = 0; i <= order; i++) {
        rays_ends ends;
        set_end(scene, i == 0 ? from : NULL, corners[i].wall, 0, &ends);
        set_end(scene, i == order ? to : NULL, corners[i + 1].wall, 1, &ends);
        const rays_point p = corners[i].at, q = corners[i + 1].at;
        if (!es_rays_trace_leg(scene, tracer, p, q, &ends, done_m, floor, &chain->bound)) return false;
        done_m += length_of(p, q);
    }
    return true;
}

bool es_rays_follow(const rays_scene *scene, rays_tracer *tracer, const rays_images *images, size_t image,
                    rays_point target, const rays_edge *from, const rays_edge *to, double floor, rays_chain *chain)
{
    rays_corner corners[MOST_REFLECTIONS + 2];
    const size_t order = es_rays_corners(scene, images, image, target, corners) - 2;
    *chain =
        (rays_chain){.bound = 1.0, .first_hit = tracer->hits.n, .depart = corners[1].at, .arrive = corners[order].at};
    if (!follow(scene, tracer, corners, order, from, to, floor, chain)) {
        tracer->hits.n = chain->first_hit;
        return false;
    }
    chain->n_hits = tracer->hits.n - chain->first_hit;
    return true;
}
