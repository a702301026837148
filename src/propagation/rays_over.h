/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shared by the files that lead paths over and under level edges: walls (rays_over.c), blocks (rays_blocks.c), slabs
 * (rays_rims.c). */
#ifndef ES_RAYS_OVER_H
#define ES_RAYS_OVER_H

#include "propagation/rays_inner.h"

/* Between which ends. */
typedef struct rays_over {
    const struct es_rays *rays;
    struct es_rays_work *work;
    rays_point source, point;
    double source_z, point_z;
    es_rays_antennas antennas;
} rays_over;

/* A level edge of an upright sheet: what stands above and below it (NULL: nothing). */
typedef struct rays_level_edge {
    uint32_t wall;
    double z_m;
    const rays_table *above, *below;
    rays_point at;                /* where the way passes it */
    double in_m, out_m;           /* across the edge */
    double in_height, out_height; /* of the ends, level, from the sheet */
    double sine;                  /* of the angle between the rays and the edge */
    double most;                  /* what is left over 1 / m at most; INFINITY: no more is known */
    bool strong_below;            /* which of the two reflects more; set by es_rays_pass_level_edge */
} rays_level_edge;

/* An edge this near a floor or ceiling is no edge: the wall goes on in the slab. */
#define RAYS_IN_SLAB_M 0.3
/* Nearer than this to an edge there is no way over it. */
#define RAYS_NEAREST_EDGE_M 1e-3

/* Where a path turns at an edge. */
typedef struct rays_turn {
    rays_point at;
    double z_m, length_m; /* of the whole path */
    uint32_t wall;        /* that does not stand in its own way; RAYS_NONE: none */
    size_t element;
} rays_turn;

/* Take a path by way of an edge if it is worth it; d: what the edge leaves, spreading included. */
void es_rays_turn_at(const rays_over *o, const rays_turn *turn, double complex d);
/* Lead a path over the edge if it is worth it: work->risen. */
void es_rays_pass_level_edge(const rays_over *o, rays_level_edge *edge);
/* Is a floor so near this spot that an edge there is none? except: the element that does not count, SIZE_MAX: all do.
 */
bool es_rays_in_slab(const rays_scene *scene, rays_point p, double z_m, size_t except);
/* The conducting blocks among those that the straight line meets on the ground plan: hits [n], in no order. */
void es_rays_over_blocks(const rays_over *o, const rays_hit *hit, size_t n);
/* The rims of slabs, wherever they are. */
void es_rays_past_rims(const rays_over *o);

#endif
