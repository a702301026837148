/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of this module share: the parts of an es_geometry, the line that is followed, and what it meets. */
#ifndef ES_HIT_H
#define ES_HIT_H

#include <stdint.h>

#include "base/arena.h"
#include "geometry/geometry.h"
#include "geometry/sketch.h"
#include "geometry/wall_index.h"

typedef struct es_box {
    earshot_point low, high;
} es_box;

struct es_geometry {
    es_arena *arena; /* owns all the arrays */
    es_panel *panel;
    es_sheet *sheet;
    es_prism *prism;
    size_t n_panels, n_sheets, n_prisms;
    es_face *face;    /* [n_panels] in the order of the index */
    es_grid grid;     /* over the faces */
    es_sketch sketch; /* of the faces, by its entries */
    es_box *sheet_at; /* [n_sheets] */
    size_t *rising;   /* [n_sheets] sheets by height */
    es_grid blocks;   /* over the prisms */
};

/* A straight line from its lower end (by x, then y, then z) to its higher one. */
typedef struct es_line {
    earshot_vec3 a;
    double length_m;
    double dx, dy, dz; /* unit vector */
    double ex, ey;     /* unit vector of its ground plan; 0, 0 when upright */
    double level;      /* metres on the ground plan a metre of line */
} es_line;

typedef enum es_hit_kind {
    ES_HIT_STRETCH, /* runs along a panel or in a sheet */
    ES_HIT_SPOT,    /* passes through one */
    ES_HIT_SOLID    /* passes through a prism */
} es_hit_kind;

typedef struct es_hit {
    double from_m, to_m;    /* along the line, where it is within ES_EDGE_M of what it meets */
    double first_m, last_m; /* where it is in it; the same for a spot */
    double cosine, sine;    /* of the incidence */
    size_t element;
    uint32_t part; /* faces, then sheets, then prisms */
    uint32_t group;
    es_hit_kind kind;
    bool holds_end;   /* an end of the line lies on it */
    bool left, right; /* it reaches to the left or right of the line's ground plan */
} es_hit;

enum { ES_HITS_AT_HAND = 96 };

/* Hits of one line; most lines need no memory but this. */
typedef struct es_hits {
    es_hit *hit; /* at_hand or malloc'ed */
    size_t n, capacity;
    es_hit at_hand[ES_HITS_AT_HAND];
} es_hits;

/* Make room for one more. false when memory is out. */
bool es_hits_grow(es_hits *hits);

/* Where the next hit may be written; it counts once n is raised. NULL when memory is out. */
static inline es_hit *es_hits_next(es_hits *hits)
{
    return hits->n < hits->capacity || es_hits_grow(hits) ? &hits->hit[hits->n] : NULL;
}

/* Does a line meet a panel? Fills all of *hit but part, element and group. */
bool es_face_meet(const es_face *face, const es_line *line, es_hit *hit);
/* Add what a line meets of a sheet or prism. false when memory is out. */
bool es_sheet_meet(const es_sheet *sheet, const es_box *at, uint32_t part, const es_line *line, es_hits *hits);
bool es_prism_meet(const es_prism *prism, uint32_t part, const es_line *line, es_hits *hits);

/* Bring hits into order and groups, and leave out those that hold an end of the line. All hits of a group then have
 * the same first_m and last_m; groups are numbered along the line. */
void es_hits_group(es_hits *hits);

/* Where a hit counts as met. */
static inline double es_hit_at_m(const es_hit *hit)
{
    return hit->first_m + (hit->last_m - hit->first_m) / 2;
}

static inline double es_lesser(double a, double b)
{
    return a < b ? a : b;
}

static inline double es_greater(double a, double b)
{
    return a > b ? a : b;
}

/* A point of the line's ground plan. */
static inline earshot_point es_line_point(const es_line *line, double at_m)
{
    return (earshot_point){line->a.x_m + at_m * line->dx, line->a.y_m + at_m * line->dy};
}

/* The part of [*from_m, *to_m] of a line where low <= value + slope * s <= high. false when none is left. */
static inline bool es_line_clip(double value, double slope, double low, double high, double *from_m, double *to_m)
{
    if (slope == 0) return value >= low && value <= high;
    const double s0 = ((slope > 0 ? low : high) - value) / slope, s1 = ((slope > 0 ? high : low) - value) / slope;
    if (s0 > *from_m) *from_m = s0;
    if (s1 < *to_m) *to_m = s1;
    return *from_m <= *to_m;
}

#endif
