/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shared by the files of the rays model only.
 *
 * All surfaces stand upright or lie flat, so a path in space is a path on the ground plan (reflections at walls,
 * diffraction at upright edges, crossings) that climbs evenly along its unfolded length. What is traced is the ground
 * plan; heights come in when a path is evaluated. Time goes as e^{+jwt}. */
#ifndef ES_RAYS_INNER_H
#define ES_RAYS_INNER_H

#include <complex.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "geometry/geometry.h"
#include "propagation/material.h"
#include "propagation/rays.h"

/* ---- what a sheet does, over the cosine of incidence (rays_sheet.c) ---- */

enum { RAYS_ANGLES = 512 };

typedef struct rays_sample {
    double complex t[2], r[2]; /* TE, TM, referred to the centre plane */
} rays_sample;

typedef struct rays_table {
    rays_sample sample[RAYS_ANGLES + 1]; /* at cos theta = i / RAYS_ANGLES */
    double t_abs[RAYS_ANGLES + 1];       /* |t| for TE */
    double r_from[RAYS_ANGLES + 1];      /* largest |r| for TE at this cosine or any greater one */
    double thickness_m;
    bool opaque; /* lets nothing through at any angle */
} rays_table;

void es_rays_table_fill(rays_table *table, const es_material *material, double frequency_hz);
double complex es_rays_t(const rays_table *table, int polarisation, double cosine);
double complex es_rays_r(const rays_table *table, int polarisation, double cosine);
double es_rays_t_abs(const rays_table *table, double cosine);
double es_rays_r_bound(const rays_table *table, double smallest_cosine);

/* ---- the ground plan (rays_scene.c) ---- */

typedef struct rays_point {
    double x, y;
} rays_point;

/* One panel of the stack that stands on a wall's line. */
typedef struct rays_band {
    double z0, z1;
    uint32_t table;
    size_t element;
} rays_band;

/* A straight piece of ground plan and what stands on it. A face of a block has its outside on the left of a -> b. */
typedef struct rays_wall {
    rays_point a, b, along; /* along: unit vector a -> b */
    double length_m;
    uint32_t first_band, n_bands;
    bool face; /* side of a solid conductor: met from the left only */
} rays_wall;

/* A direction in which a wall leaves an edge. */
typedef struct rays_arm {
    double angle_rad; /* 0 to 2 pi */
    uint32_t wall;
} rays_arm;

/* What throws a reflection boundary at an edge: one arm, or two that continue each other. */
typedef struct rays_term {
    uint32_t arm, opposite; /* of the edge; opposite == arm: none */
} rays_term;

/* An upright edge: a wall's end, jamb or junction, or the corner of a solid conductor. */
typedef struct rays_edge {
    rays_point at;
    uint32_t first_arm, n_arms;
    uint32_t first_term, n_terms;
    bool wedge;            /* corner of a block: arm 0 starts the exterior, which runs counter-clockwise to arm 1 */
    double wedge_n;        /* exterior angle / pi */
    uint32_t neighbour[2]; /* wedge: the edges at the other ends of arm 0 and arm 1 */
} rays_edge;

typedef struct rays_grid {
    double x0, y0, cell_m;
    uint32_t columns, rows;
    uint32_t *start; /* [columns * rows + 1] into wall[] */
    uint32_t *wall;
} rays_grid;

typedef struct rays_scene {
    double frequency_hz, k;
    rays_table *table;
    size_t n_tables;
    rays_band *band;
    rays_wall *wall;
    size_t n_walls;
    rays_arm *arm;
    rays_term *term;
    rays_edge *edge;
    size_t n_edges, n_bands, n_arms, n_terms;
    size_t wall_room, band_room, edge_room, arm_room, term_room;
    rays_grid grid;
    double complex *fresnel; /* table of the transition function, rays_diffract.c */
} rays_scene;

/* Copy panels with their ends moved to the centre lines of the walls that they abut (rays_snap.c). */
void es_rays_snap(const es_panel *panel, es_panel *moved, size_t n);
/* Find the edges, their arms and terms (rays_edge.c). */
earshot_status es_rays_find_edges(rays_scene *scene);
earshot_status es_rays_scene_new(const es_rays_input *input, double frequency_hz, rays_scene **scene);
void es_rays_scene_free(rays_scene *scene);
/* The table at a height; NULL where nothing stands. */
const rays_table *es_rays_wall_at(const rays_scene *scene, uint32_t wall, double z_m);
/* Largest |t| and |r| (TE) of anything that stands on the wall's line. */
double es_rays_wall_t_bound(const rays_scene *scene, uint32_t wall, double cosine);
double es_rays_wall_r_bound(const rays_scene *scene, uint32_t wall, double smallest_cosine);

/* ---- legs (rays_cross.c) ---- */

/* Where a path meets a wall. */
typedef struct rays_hit {
    uint32_t wall;
    bool reflects; /* else it goes through */
    double at_m;   /* along the ground plan, from the start of the path's part */
    double cosine; /* of the incidence on the ground plan */
} rays_hit;

typedef struct rays_hits {
    rays_hit *item;
    size_t n, room;
} rays_hits;

/* Per thread: buffers for tracing. */
typedef struct rays_tracer {
    uint32_t *seen; /* [n_walls] number of the leg that last looked at a wall */
    uint32_t leg;
    rays_hits hits;
    bool no_memory;
} rays_tracer;

/* Walls that a leg's ends lie on. */
typedef struct rays_ends {
    const rays_arm *arm[2];
    size_t n_arms[2];
    uint32_t wall[2]; /* RAYS_NONE: no wall */
} rays_ends;

#define RAYS_NONE UINT32_MAX

earshot_status es_rays_grid_fill(rays_scene *scene);
bool es_rays_tracer_init(rays_tracer *tracer, const rays_scene *scene);
void es_rays_tracer_clear(rays_tracer *tracer);
bool es_rays_add_hit(rays_tracer *tracer, rays_hit hit);
/* Append the walls that the leg p -> q crosses to tracer->hits, in no order, with at_m counted from offset_m. *bound is
 * multiplied by the largest they can let through; false as soon as it falls below floor. */
bool es_rays_trace_leg(const rays_scene *scene, rays_tracer *tracer, rays_point p, rays_point q, const rays_ends *ends,
                       double offset_m, double floor, double *bound);

/* ---- reflections (rays_image.c) ---- */

/* A mirror image and the part of its last wall through which it is seen. Image 0 is the source itself. */
typedef struct rays_image {
    rays_point at, left, right; /* ends of the lit part, as seen from `at` */
    uint32_t wall;
    int32_t parent;
    uint32_t order;
    double r_bound; /* of all its reflections */
} rays_image;

typedef struct rays_images {
    rays_image *item;
    size_t n, room;
} rays_images;

/* Images of a point by up to `order` reflections whose product can reach floor. own, n_own: arms of the edge that the
 * point is, whose lines mirror nothing. */
earshot_status es_rays_images_new(const rays_scene *scene, rays_point source, const rays_edge *own, unsigned order,
                                  double floor, rays_images *images);
void es_rays_images_clear(rays_images *images);

/* A leg chain from the source of the images to a point: reflections only. */
typedef struct rays_chain {
    double length_m;
    double bound;      /* of the products of R and T */
    rays_point depart; /* first point after the source */
    rays_point arrive; /* last point before the target */
    size_t first_hit, n_hits;
} rays_chain;

/* Trace one image to a target. from, to: the edges at either end (NULL: none). False if there is no such path or its
 * product falls below floor. Hits are appended to the tracer. */
bool es_rays_follow(const rays_scene *scene, rays_tracer *tracer, const rays_images *images, size_t image,
                    rays_point target, const rays_edge *from, const rays_edge *to, double floor, rays_chain *chain);
/* Does the target lie in the beam of the image? */
bool es_rays_in_beam(const rays_image *image, rays_point target);

/* ---- diffraction (rays_diffract.c) ---- */

/* An arm as seen by a ray at the edge. */
typedef struct rays_view {
    double half_cos, half_sin; /* of half the angle from the arm, counter-clockwise, 0 to 2 pi, to the ray */
    double complex weight;     /* reflection in the arm (or the pair of arms) */
} rays_view;

/* What an edge looks like to a ray that comes or goes at some angle. */
typedef struct rays_side {
    double angle_rad;          /* direction edge -> other end, 0 to 2 pi */
    double half_cos, half_sin; /* of half that angle */
    double complex jump;
    size_t first_view;
} rays_side;

typedef struct rays_views {
    rays_view *item;
    size_t n, room;
} rays_views;

double complex *es_rays_fresnel_new(void);
/* Transition function of Kouyoumjian and Pathak. x >= 0. */
double complex es_rays_transition(const double complex *fresnel, double x);
/* Views are appended, one a term of the edge. */
bool es_rays_side_at(const rays_scene *scene, const rays_edge *edge, double angle_rad, double z_m, rays_views *views,
                     rays_side *side);
/* Can a ray leave the edge at this angle (false: into the block)? */
bool es_rays_edge_open(const rays_scene *scene, const rays_edge *edge, double angle_rad);
/* Upper bound of |D| over all distances. */
double es_rays_diffract_bound(const rays_scene *scene, const rays_edge *edge, const rays_side *in,
                              const rays_view *in_view, const rays_side *out, const rays_view *out_view);
/* D itself, distance parameter L. */
double complex es_rays_diffract(const rays_scene *scene, const rays_edge *edge, const rays_side *in,
                                const rays_view *in_view, const rays_side *out, const rays_view *out_view, double l_m);
/* Derivative of the wedge's D: by the outgoing angle at the face towards edge_ (by_out), or by the incoming one. */
double complex es_rays_wedge_slope(const rays_scene *scene, const rays_edge *edge, unsigned face, double other_rad,
                                   double l_m);

/* ---- the source's side (rays_source.c) ---- */

/* A wave that arrives at an edge. */
typedef struct rays_wave {
    rays_side side;
    double complex amplitude; /* at the edge, phase and spreading included */
    double size;              /* |amplitude| */
    double product;           /* bound of its products of R and T */
    double reach_m;           /* from the last edge, or the source (unfolded) */
    double travelled_m;       /* from the source */
    uint32_t from_edge;       /* RAYS_NONE: from the source */
    uint32_t from_wave;       /* which of the waves there */
    uint32_t slope_face; /* arm of a block's corner along which it comes and meets the slope of D; else RAYS_NONE */
    size_t first_hit, n_hits; /* since the last edge or source */
} rays_wave;

/* Waves by edge. */
typedef struct rays_waves {
    rays_wave *item;
    size_t n, room;
    size_t *first; /* [n_edges + 1] */
} rays_waves;

struct es_rays {
    rays_scene *scene;
    es_rays_options options;
    rays_point source;
    rays_images images;       /* of the source */
    rays_images *edge_image;  /* [n_edges] of each edge */
    rays_waves single, twice; /* that met no edge before, or one */
    rays_views views;
    rays_hits hits;
};

earshot_status es_rays_prepare(struct es_rays *rays);
/* Product of the complex T and R of hits, all upright and at one height. */
double complex es_rays_product(const rays_scene *scene, const rays_hit *hit, size_t n, double z_m);

/* ---- at a point (rays_trace.c, rays_mean.c) ---- */

typedef struct rays_path {
    double complex amplitude; /* with 1/sqrt(length) spreading, phase at the point */
    double ux, uy;            /* direction of travel where it arrives */
    double length_m;
    uint32_t image;      /* of the source or, after an edge, of that edge */
    uint32_t edge, wave; /* RAYS_NONE: no edge */
} rays_path;

/* Mean of |sum a|^2 over a square of side width_m about the point, the paths being plane waves there. */
double es_rays_patch_mean(const rays_path *path, size_t n, double k, double width_m);
/* |sum a|^2 at the point itself. */
double es_rays_coherent(const rays_path *path, size_t n);
/* Rice factor: the group that goes with the strongest path, over the rest. */
double es_rays_rice_k(rays_path *path, size_t n, double k, double width_m);

static inline rays_point rays_minus(rays_point p, rays_point q)
{
    return (rays_point){p.x - q.x, p.y - q.y};
}

static inline double rays_cross(rays_point p, rays_point q)
{
    return p.x * q.y - p.y * q.x;
}

static inline double rays_dot(rays_point p, rays_point q)
{
    return p.x * q.x + p.y * q.y;
}

#endif
