/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the rays model knows of a building: sheets, the ground plan with its walls and edges, legs and reflections.
 * Shared by the files of the rays model only. */
#ifndef ES_RAYS_SCENE_H
#define ES_RAYS_SCENE_H

#include <complex.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/units.h"
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
/* One of the two faces of a block: half of its loss, and no reflection that anything is known of. */
void es_rays_table_halve(rays_table *table);
/* A half space, its surface being the plane. */
void es_rays_table_fill_ground(rays_table *table, const es_layer *layer, double frequency_hz);
double complex es_rays_t(const rays_table *table, int polarisation, double cosine);
double complex es_rays_r(const rays_table *table, int polarisation, double cosine);
double es_rays_t_abs(const rays_table *table, double cosine);
double es_rays_r_bound(const rays_table *table, double smallest_cosine);

/* How steeply a ray climbs: sine and cosine of the angle between it and the vertical. Level: 1 and 0. */
typedef struct rays_climb {
    double sine, cosine;
} rays_climb;

/* Components of the field across a ray: in the upright plane through it (upright for a level ray), and level. */
enum { RAYS_UPRIGHT, RAYS_LEVEL };

/* An upright sheet, met at this cosine on the ground plan. It mixes TE and TM according to the climb. */
double complex es_rays_wall_t(const rays_table *table, int component, double cosine, rays_climb climb);
double complex es_rays_wall_r(const rays_table *table, int component, double cosine, rays_climb climb);

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
    bool face;   /* side of a solid conductor: met from the left only */
    bool closed; /* something stands here at all heights that count */
} rays_wall;

/* A direction in which a wall leaves an edge. */
typedef struct rays_arm {
    double angle_rad; /* 0 to 2 pi */
    rays_point along; /* unit vector */
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
    rays_point wedge_unit; /* cosine and sine of pi / 2n */
    uint32_t neighbour[2]; /* wedge: the edges at the other ends of arm 0 and arm 1 */
} rays_edge;

/* A horizontal sheet: slab, top or bottom of a block, the ground. */
typedef struct rays_floor {
    const earshot_point *outline; /* NULL: everywhere */
    size_t n_outline;
    const earshot_point *const *hole;
    const size_t *n_hole;
    size_t n_holes;
    double z_m;
    uint32_t table;
    size_t element;
    bool slab; /* a sheet of its own, no block's face and not the ground */
} rays_floor;

/* A level edge of a slab or flat roof. */
typedef struct rays_rim {
    rays_point a, along; /* along: unit vector */
    double length_m, z_m;
    double side; /* +1: the sheet lies on the left of a -> b, -1: on the right */
    uint32_t table;
    size_t element;
} rays_rim;

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
    size_t n_walls; /* sheets first, then the faces of solid conductors, then those of other blocks */
    size_t n_sheets, n_solids;
    rays_arm *arm;
    rays_term *term;
    rays_edge *edge;
    rays_floor *floor; /* [n_floors] by rising height */
    size_t n_floors, floor_room;
    rays_rim *rim; /* [n_rims] */
    size_t n_rims;
    bool thick_ends;      /* as asked for */
    bool open_above;      /* in space, no floor over the source */
    double low_z, high_z; /* heights that count when a wall's largest t and r are asked for */
    size_t n_edges, n_bands, n_arms, n_terms;
    size_t wall_room, band_room, edge_room, arm_room, term_room;
    rays_grid grid;
    double complex *fresnel; /* table of the transition functions */
} rays_scene;

/* Copy panels with their ends moved to the centre lines of the walls that they abut (rays_snap.c). */
void es_rays_snap(const es_panel *panel, es_panel *moved, size_t n);
/* Lead walls up and down to the middle of the slabs that they stand under and on, where the slabs' sheets are: no ray
 * slips through between. panel: [input->n_panels]. */
void es_rays_snap_heights(const es_rays_input *input, es_panel *panel);
/* Find the edges, their arms and terms (rays_edge.c). */
earshot_status es_rays_find_edges(rays_scene *scene);
earshot_status es_rays_scene_new(const es_rays_input *input, double frequency_hz, earshot_vec3 source, bool space,
                                 rays_scene **scene);
/* Floors of the structure, and the heights between which a source lies (rays_floor.c). */
/* The table of a block's faces: its own for a conductor, else one that takes half of its loss, for each of two faces.
 */
uint32_t es_rays_block_table(const rays_scene *scene, const es_rays_input *input, const es_prism *prism);
bool es_rays_is_conductor(const es_material *material);
/* The rims of the slabs among the floors (rays_rims.c). */
bool es_rays_find_rims(rays_scene *scene);
bool es_rays_add_floors(rays_scene *scene, const es_rays_input *input);
bool es_rays_floor_covers(const rays_floor *floor, rays_point p);
void es_rays_scene_free(rays_scene *scene);
/* What stands at a height, and its table; NULL where nothing does. */
const rays_band *es_rays_band_at(const rays_scene *scene, uint32_t wall, double z_m);
const rays_table *es_rays_wall_at(const rays_scene *scene, uint32_t wall, double z_m);
/* Largest |t| and |r| (TE) of anything that stands on the wall's line. */
double es_rays_wall_t_bound(const rays_scene *scene, uint32_t wall, double cosine);
/* Largest |t| (TE) of the wall between two heights; 1 where it has a gap there. */
double es_rays_wall_t_between(const rays_scene *scene, uint32_t wall, double cosine, double low_z, double high_z);
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

/* At what heights a chain of legs can run: its ends are known, and how steeply it can climb. */
typedef struct rays_heights {
    double from_z, to_z;  /* from_z is NAN where the chain starts at an edge */
    double steep;         /* climb over length on the ground plan, at most */
    double low_z, high_z; /* never beyond these */
    double length_m;      /* of the chain */
} rays_heights;

/* Per thread: buffers for tracing. */
typedef struct rays_tracer {
    const rays_heights *heights; /* of the chain in hand, borrowed; NULL: not known */
    uint32_t *seen;              /* [n_walls] number of the leg that last looked at a wall */
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

enum { RAYS_SECTORS = 64 }; /* of all directions about an edge (rays_outlook.c) */

/* The sector of a direction; they are counted counter-clockwise. */
static inline uint32_t rays_sector(double angle_rad)
{
    const double turns = angle_rad / (2.0 * ES_PI);
    const uint32_t sector = (uint32_t)((turns - floor(turns)) * RAYS_SECTORS);
    return sector < RAYS_SECTORS ? sector : 0;
}

/* A mirror image and the part of its last wall through which it is seen. Image 0 is the source itself. */
typedef struct rays_image {
    rays_point at, left, right; /* ends of the lit part, as seen from `at` */
    uint32_t wall;
    int32_t parent;
    uint32_t order;
    double r_bound; /* of all its reflections */
    double t_seen;  /* of what lies between them, as far as a few rays of the beam tell */
    double sent;    /* of an edge's: amplitude sqrt(m) that is sent into its beam, at most */
    double away_m;  /* from it to the lit part, at least */
} rays_image;

typedef struct rays_images {
    rays_image *item;
    size_t n, room;
} rays_images;

/* An edge whose images are wanted: its own walls mirror nothing, and what it sends may be too little to mirror. The
 * pointers are borrowed. */
typedef struct rays_sender {
    const rays_edge *edge;
    const float *most;  /* [RAYS_SECTORS] amplitude sqrt(m) that it sends into each sector, at most */
    double field_floor; /* weaker amplitudes at a mirror are left out */
    double reach_m;     /* beyond this they all are */
} rays_sender;

/* Images of a point by up to `order` reflections whose product can reach floor. sender: the edge that the point is;
 * NULL: it is the source. */
earshot_status es_rays_images_new(const rays_scene *scene, rays_tracer *tracer, rays_point source,
                                  const rays_sender *sender, unsigned order, double floor, rays_images *images);
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

static inline rays_point rays_minus(rays_point p, rays_point q)
{
    return (rays_point){p.x - q.x, p.y - q.y};
}

static inline double rays_cross(rays_point p, rays_point q)
{
    return p.x * q.y - p.y * q.x;
}

static inline double rays_least(double x, double y)
{
    return x < y ? x : y; /* unlike fmin, nothing is said of NaN, and it is one instruction */
}

/* |z| without cabs's care for extremes. */
static inline double rays_size(double complex z)
{
    return sqrt(creal(z) * creal(z) + cimag(z) * cimag(z));
}

static inline double rays_length(rays_point p)
{
    return sqrt(p.x * p.x + p.y * p.y); /* no need of hypot's care for extremes */
}

/* Direction from one point to another, -pi to pi. */
static inline double rays_angle(rays_point from, rays_point to)
{
    return atan2(to.y - from.y, to.x - from.x);
}

static inline double rays_dot(rays_point p, rays_point q)
{
    return p.x * q.x + p.y * q.y;
}

#endif
