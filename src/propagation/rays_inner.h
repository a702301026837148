/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shared by the files of the rays model only.
 *
 * All surfaces stand upright or lie flat, so a path in space is a path on the ground plan (reflections at walls,
 * diffraction at upright edges, crossings) that climbs evenly along its unfolded length. What is traced is the ground
 * plan; heights come in when a path is evaluated. Time goes as e^{+jwt}. */
#ifndef ES_RAYS_INNER_H
#define ES_RAYS_INNER_H

#include "propagation/rays_diffract.h"

/* Lengths on the ground plan are at least this. */
#define RAYS_NEAREST_M 1e-3

/* Where hardly anything arrives, the floor of the products of R and T is lowered, but not below this. */
#define RAYS_DEEPEST_FLOOR 1e-5

/* ---- the source's side (rays_source.c) ---- */

/* A wave that arrives at an edge. */
typedef struct rays_wave {
    rays_side side;
    double complex amplitude; /* at the edge, phase and spreading included */
    double size;              /* |amplitude| */
    double root_m;            /* square root of reach_m */
    double product;           /* bound of its products of R and T */
    double passed;            /* |product of R and T| that the amplitude holds */
    double reach_m;           /* from the last edge, or the source (unfolded) */
    double travelled_m;       /* from the source */
    uint32_t image;           /* of the source, when it comes from there */
    uint32_t from_edge;       /* RAYS_NONE: from the source */
    uint32_t from_wave;       /* which of the waves there */
    uint32_t slope_face; /* arm of a block's corner along which it comes and meets the slope of D; else RAYS_NONE */
    size_t first_hit, n_hits; /* since the last edge or source */
    /* After one edge: what D there is made of, so that it can be joined with the next edge's. */
    size_t first_bend;
    uint32_t n_bends;      /* 0: not to be joined */
    double complex before; /* amplitude but for that D */
    double before_m;       /* reach to that edge */
} rays_wave;

typedef struct rays_bends {
    rays_bend *item;
    size_t n, room;
} rays_bends;

/* A ray meets at most so many edges. */
enum { RAYS_MOST_EDGES = 3 };

/* Waves by edge. */
typedef struct rays_waves {
    rays_wave *item;
    size_t n, room;
    size_t *first; /* [n_edges + 1] */
} rays_waves;

struct es_rays {
    rays_scene *scene;
    double weakest; /* amplitude over the strongest that is kept */
    es_rays_options options;
    rays_point source;
    double source_z;
    rays_images images;                /* of the source */
    rays_images *edge_image;           /* [n_edges] of each edge */
    rays_waves waves[RAYS_MOST_EDGES]; /* that met no edge before, one, two */
    float *outlook[RAYS_MOST_EDGES];   /* [n_edges][RAYS_SECTORS] what these send at most */
    rays_views views;
    rays_bends bends;
    rays_hits hits;
};

earshot_status es_rays_prepare(struct es_rays *rays);
/* The amplitude of a wave that met one edge before it leaves its second one to somewhere so far away, D at the two
 * joined; passage after that is left out. 0: they are not to be joined, D at the second is a factor. */
double complex es_rays_joined(const struct es_rays *rays, const rays_wave *wave, const rays_edge *edge,
                              const rays_side *out, const rays_view *out_views, double after_m);
/* Product of the complex T and R of hits, all upright and at one height. */
double complex es_rays_product(const rays_scene *scene, const rays_hit *hit, size_t n, double z_m);

/* ---- the most that an edge can send in each direction (rays_outlook.c) ---- */

/* Fill rays->outlook for the waves that met so many edges, the last included. False when memory is out. */
bool es_rays_outlook_fill(struct es_rays *rays, unsigned edges);
/* The same for all waves of an edge: most[RAYS_SECTORS]. */
void es_rays_outlook_of_all(const struct es_rays *rays, size_t edge, float *most);
/* |amplitude| sqrt(m) of any of these waves that leaves the edge at this angle, at most, as the edge stands at whatever
 * height is worst. As sure as es_rays_diffract_bound(): D joined with another's, and a thick end's, may be greater.
 * INFINITY: not bounded. */
double es_rays_outlook(const struct es_rays *rays, unsigned edges, size_t edge, double angle_rad);

/* ---- at a point (rays.c, rays_trace.c, rays_space.c, rays_mean.c) ---- */

struct es_rays_work {
    rays_tracer tracer;
    rays_views views;
    struct rays_path *path; /* on the ground plan; in space they are only candidates */
    size_t n_paths, path_room;
    double strongest; /* amplitude so far */
    double promised;  /* by the ground plan, over free space */
    double most;      /* amplitude that is known to arrive in space; INFINITY: not known yet */
    double floor;     /* paths whose product of R and T falls below it are dropped; but never the straight line */
    uint32_t *chosen; /* [n_chosen] waves that are worth it, at the edge in hand */
    size_t n_chosen, chosen_room;
    rays_hits kept;       /* hits of the paths' last parts */
    rays_hits met;        /* what stands on the straight line of the ground plan */
    rays_heights heights; /* of chains to the point */
    rays_point point;     /* where the paths lead */
    double point_z;
    struct rays_path *risen; /* in space */
    size_t n_risen, risen_room;
    uint32_t *passed; /* [n_passed] tables of what the risen paths pass through */
    size_t n_passed, passed_room;
    double *weight; /* [n_materials] */
    bool no_memory;
};

typedef struct rays_path {
    double complex amplitude; /* with 1/sqrt(length) spreading, phase at the point */
    double passed;            /* |product of R and T| that the amplitude holds */
    double ux, uy;            /* direction of travel where it arrives */
    double length_m;
    uint32_t image;      /* of the source or, after an edge, of that edge */
    uint32_t edge, wave; /* RAYS_NONE: no edge */
    uint32_t n_edges;    /* that it meets; waves[n_edges - 1] has the wave */
    uint32_t candidate;  /* in space: the path on the ground plan that it follows */
    uint32_t course;     /* and how it climbs */
    size_t over_element; /* candidate RAYS_NONE: past a level edge of this element, here */
    rays_point over_at;
    double over_z;
    size_t first_hit, n_hits;    /* after the edge, or all; in the work's kept hits */
    size_t first_pass, n_passes; /* in space: in work->passed */
} rays_path;

/* Mean of |sum a|^2 over a square of side width_m about the point, the paths being plane waves there. */
double es_rays_patch_mean(const rays_path *path, size_t n, double k, double width_m);
/* |sum a|^2 at the point itself. */
double es_rays_coherent(const rays_path *path, size_t n);
/* Rice factor: the group that goes with the strongest path, over the rest. */
double es_rays_rice_k(rays_path *path, size_t n, double k, double width_m);

/* Amplitude that an antenna sends into, or takes from, the two components of a ray that travels so. */
void es_rays_pattern(earshot_antenna antenna, double angle_rad, rays_climb ray, double gain[2]);
/* The path in hand passes through this: work->passed (rays_spread.c). */
void es_rays_note_pass(const rays_scene *scene, struct es_rays_work *work, const rays_table *table);
/* Add the paths over and under level edges: work->risen. */
void es_rays_over(const struct es_rays *rays, struct es_rays_work *work, rays_point p, double z_m,
                  es_rays_antennas antennas);
/* The straight line is followed down to this product, 200 dB. */
#define RAYS_NOTHING 1e-10

/* Paths on the ground plan to a point at some height, weak ones dropped. work->floor says how weak. */
void es_rays_trace(const struct es_rays *rays, struct es_rays_work *work, rays_point p, double z_m);
/* The path's unfolded ground plan: corners[0] is the source, the last the point. Returns how many. */
enum { RAYS_MOST_CORNERS = 24 };
typedef struct rays_corner {
    rays_point at;
    uint32_t wall; /* where it reflects; RAYS_NONE at ends and edges */
    uint32_t edge; /* where it is diffracted; RAYS_NONE elsewhere */
} rays_corner;
size_t es_rays_corners(const rays_scene *scene, const rays_images *images, size_t image, rays_point target,
                       rays_corner *corners);

/* Where a path by way of an image first goes from its source. */
rays_point es_rays_depart(const rays_scene *scene, const rays_images *images, size_t image, rays_point target);

#endif
