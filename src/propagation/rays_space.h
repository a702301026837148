/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a path on the ground plan climbs to the point. Shared by the files of the rays model only. */
#ifndef ES_RAYS_SPACE_H
#define ES_RAYS_SPACE_H

#include "propagation/rays_inner.h"

/* ---- courses (rays_climb.c) ---- */

enum { RAYS_MOST_COURSES = 24, RAYS_MOST_BOUNCES = 3 };

/* Heights closer than this to a floor lie on it. */
#define RAYS_ON_FLOOR_M 1e-6

/* One way to climb. */
typedef struct rays_course {
    double from_z, to_z;
    int direction; /* of the first stretch: +1 up, -1 down */
    size_t n_bounces;
    uint32_t floor[RAYS_MOST_BOUNCES];
    double at_m[RAYS_MOST_BOUNCES]; /* unfolded climb where it bounces */
    double climb_m;                 /* unfolded, all */
} rays_course;

typedef struct rays_courses {
    rays_course item[RAYS_MOST_COURSES];
    size_t n;
} rays_courses;

/* All ways to climb to this height. */
rays_courses es_rays_courses(const struct es_rays *rays, double z_m);
/* Let the paths on the ground plan climb to a height by all courses that lead there: work->risen (rays_space.c). */
void es_rays_rise(const struct es_rays *rays, struct es_rays_work *work, const rays_courses *all, rays_point p,
                  double z_m, es_rays_antennas antennas);

/* ---- the way on the ground plan (rays_way.c) ---- */

/* A stretch between source, edges and point, with what it meets. */
typedef struct rays_part {
    const rays_hit *hit;
    size_t n_hits;
    double from_m, length_m;
    uint32_t edge;          /* at its end; RAYS_NONE: the point */
    double leaves, arrives; /* angles at its start and at its end, seen from there */
    uint32_t slope_face;    /* of the edge at its end, when it came along a block's face */
} rays_part;

enum { RAYS_MOST_PARTS = RAYS_MOST_EDGES + 1 };

typedef struct rays_way {
    rays_corner corner[RAYS_MOST_CORNERS];
    double at_m[RAYS_MOST_CORNERS];
    size_t n_corners;
    rays_part part[RAYS_MOST_PARTS];
    size_t n_parts;
    double length_m;
} rays_way;

/* Lay the path out from the source to the point. */
void es_rays_lay_out(const struct es_rays *rays, const struct es_rays_work *work, const rays_path *path, rays_point p,
                     rays_way *w);
/* Where the way is so far from its start on the ground plan, and how high on a course. */
rays_point es_rays_point_at(const rays_way *w, double at_m);
double es_rays_height_at(const rays_way *w, const rays_course *c, double at_m);

#endif
