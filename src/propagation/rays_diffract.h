/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Diffraction at upright edges. Shared by the files of the rays model only. */
#ifndef ES_RAYS_DIFFRACT_H
#define ES_RAYS_DIFFRACT_H

#include "propagation/rays_fresnel.h"
#include "propagation/rays_scene.h"

/* ---- diffraction (rays_diffract.c) ---- */

/* A term of the edge as seen by a ray there; the arms' transmission comes first, as views of their own. */
typedef struct rays_view {
    double half_cos, half_sin; /* of half the angle from the arm, counter-clockwise, 0 to 2 pi, to the ray */
    double complex weight;     /* reflection in the arm (or the pair of arms); or transmission of an arm */
} rays_view;

/* Arms of an edge, one bit each; those beyond count as not in it. */
typedef uint64_t rays_arms;
enum { RAYS_SET_ARMS = 64 };

/* What an edge looks like to a ray that comes or goes at some angle. */
typedef struct rays_side {
    double angle_rad;          /* direction edge -> other end, 0 to 2 pi */
    double half_cos, half_sin; /* of half that angle */
    double jump_bound;         /* es_rays_bound_jump() sets it */
    rays_arms standing;        /* at this height */
    uint32_t n_standing;       /* terms that have an arm there */
    uint32_t term, thick_arm;  /* the last of these, and the thicker of its arms */
    double thick_m;            /* of a wall that ends here, or less that of the thinner one that goes on */
    size_t first_view;
} rays_side;

typedef struct rays_views {
    rays_view *item;
    size_t n, room;
} rays_views;

/* At what height, how steeply and in which component an edge is met. */
typedef struct rays_meet {
    double z_m;
    rays_climb climb;
    int component;
} rays_meet;

/* Views are appended, one an arm and one a term of the edge. */
bool es_rays_side_at(const rays_scene *scene, const rays_edge *edge, double angle_rad, rays_meet meet,
                     rays_views *views, rays_side *side);
/* Set the side's bound of what can pass on one side of the edge less what can pass on the other, over any division of
 * the arms into two sides. */
void es_rays_bound_jump(const rays_scene *scene, const rays_edge *edge, const rays_views *views, rays_side *side);
/* What the arms of the set let through, one after the other, less what the rest do, as the view has it. standing: arms
 * that count. */
double complex es_rays_left_less_right(const rays_scene *scene, const rays_edge *edge, rays_arms standing,
                                       rays_arms left, const rays_view *view);
bool es_rays_is_in(rays_arms set, uint32_t arm);
/* The same angle from 0 to 2 pi; the angle -2 pi to 4 pi. */
double es_rays_turn(double angle_rad);
/* At least |z|, and quick. */
static inline double rays_most(double complex z)
{
    return fabs(creal(z)) + fabs(cimag(z));
}

/* Collinear arms are met by no reflected ray of each other: sine of 0.02 rad. */
#define RAYS_COLLINEAR_SINE 0.02
/* Can a ray leave the edge at this angle (false: into the block)? */
bool es_rays_edge_open(const rays_scene *scene, const rays_edge *edge, double angle_rad);
/* Upper bound of |D|, the sides' jumps being bounded; root_m: square root of a length not below L. */
double es_rays_diffract_bound(const rays_scene *scene, const rays_edge *edge, const rays_side *in,
                              const rays_view *in_view, const rays_side *out, const rays_view *out_view, double root_m);
/* How D is evaluated: with the wave number across the edge and the distance parameter L on the ground plan. */
typedef struct rays_scale {
    double k, l_m;
    int component;
} rays_scale;

/* The distance parameter L of an edge that a wave comes so far to and goes so far from. */
static inline double rays_distance_m(double before_m, double after_m)
{
    return before_m * after_m / (before_m + after_m);
}

/* One boundary's term H = C0 F(2 k L c^2) / c. */
double complex es_rays_boundary(const rays_scene *scene, double cosine, rays_scale scale);
/* D itself. */
double complex es_rays_diffract(const rays_scene *scene, const rays_edge *edge, const rays_side *in,
                                const rays_view *in_view, const rays_side *out, const rays_view *out_view,
                                rays_scale scale);
/* One boundary's part of D, weight times the detour's transition, and whether the ray bends right there. */
typedef struct rays_bend {
    double complex weight;
    rays_detour detour;
    bool right;
} rays_bend;

enum { RAYS_MOST_BENDS = 8 };
/* D at an edge by its boundaries; 0: it is of another kind. second: another edge was met before this one. */
uint32_t es_rays_bends(const rays_scene *scene, const rays_edge *edge, const rays_side *in, const rays_view *in_view,
                       const rays_side *out, const rays_view *out_view, rays_scale scale, bool second, rays_bend *bend);
/* The lengths before, between and after two edges. */
typedef struct rays_reach {
    double before_m, between_m, after_m;
} rays_reach;

/* Takes the place of the product of D at two edges in a row. */
double complex es_rays_pair(const rays_scene *scene, const rays_bend *first, uint32_t n_first, const rays_bend *second,
                            uint32_t n_second, rays_reach reach);
/* Derivative of the wedge's D, away from one of its faces and at that face, by the incoming or the outgoing angle; the
 * other angle is given. */
double complex es_rays_wedge_slope(const rays_scene *scene, const rays_edge *edge, unsigned face, double other_rad,
                                   rays_scale scale);

#endif
