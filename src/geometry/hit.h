/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of this module share: the parts of an es_geometry, the line that is followed, and what it meets. */
#ifndef ES_HIT_H
#define ES_HIT_H

#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "geometry/geometry.h"
#include "geometry/sketch.h"
#include "geometry/wall_index.h"

typedef struct es_box {
    earshot_point low, high;
} es_box;

typedef struct es_line es_line;
typedef struct es_hits es_hits;
typedef struct es_passes es_passes;

/* Which panels does a line meet? What it clearly passes through goes to the passes, the rest, and all if it is a great
 * many, to the hits; a panel met where two cells of the index touch may be told twice. false when memory is out. */
typedef bool es_panel_search(const es_geometry *g, const es_line *line, es_passes *passes, es_hits *hits);

struct es_geometry {
    es_arena *arena; /* owns all the arrays */
    es_panel *panel;
    es_sheet *sheet;
    es_prism *prism;
    size_t n_panels, n_sheets, n_prisms;
    es_grid grid;     /* over the panels */
    es_sketch sketch; /* of the panels, by its entries */
    es_panel_search *search;
    es_box *sheet_at; /* [n_sheets] */
    size_t *rising;   /* [n_sheets] sheets by height */
    es_grid blocks;   /* over the prisms */
};

/* A straight line from its lower end a (by x, then y, then z) to its higher one b. */
struct es_line {
    earshot_vec3 a, b;
    double length_m;
    double dx, dy, dz; /* unit vector */
    /* Where tolerances count, and found only then: */
    double ex, ey; /* unit vector of its ground plan; 0, 0 when upright */
    double level;  /* metres on the ground plan a metre of line */
};

/* The line between two points, all but what es_line_finish() finds. true if it starts at b. No branches, which no
 * processor could guess. */
static inline bool es_line_start(es_line *line, const earshot_vec3 *a, const earshot_vec3 *b)
{
    const bool y_swapped = b->y_m < a->y_m || (b->y_m == a->y_m && b->z_m < a->z_m);
    const bool swapped = (b->x_m < a->x_m) | ((b->x_m == a->x_m) & y_swapped);
    const earshot_vec3 *const low = swapped ? b : a, *const high = swapped ? a : b;
    const double dx = high->x_m - low->x_m, dy = high->y_m - low->y_m, dz = high->z_m - low->z_m;
    line->a = *low;
    line->b = *high;
    line->length_m = sqrt(dx * dx + dy * dy + dz * dz);
    line->dx = dx / line->length_m;
    line->dy = dy / line->length_m;
    line->dz = dz / line->length_m;
    return swapped;
}

static inline void es_line_finish(es_line *line)
{
    const double dx = line->b.x_m - line->a.x_m, dy = line->b.y_m - line->a.y_m, level_m = sqrt(dx * dx + dy * dy);
    line->level = level_m / line->length_m;
    line->ex = level_m > 0 ? dx / level_m : 0;
    line->ey = level_m > 0 ? dy / level_m : 0;
}

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
    uint32_t part; /* panels, then sheets, then prisms */
    uint32_t group;
    es_hit_kind kind;
    bool holds_end;   /* an end of the line lies on it */
    bool left, right; /* it reaches to the left or right of the line's ground plan */
} es_hit;

enum { ES_HITS_AT_HAND = 96 };

/* Hits of one line; most lines need no memory but this. */
struct es_hits {
    es_hit *hit; /* at_hand or malloc'ed */
    size_t n, capacity;
    es_hit at_hand[ES_HITS_AT_HAND];
};

/* No hits yet. */
static inline void es_hits_start(es_hits *hits)
{
    hits->hit = hits->at_hand;
    hits->n = 0;
    hits->capacity = ES_HITS_AT_HAND;
}

void es_hits_free(es_hits *hits);

/* Make room for one more. false when memory is out. */
bool es_hits_grow(es_hits *hits);

/* Where the next hit may be written; it counts once n is raised. NULL when memory is out. */
static inline es_hit *es_hits_next(es_hits *hits)
{
    return hits->n < hits->capacity || es_hits_grow(hits) ? &hits->hit[hits->n] : NULL;
}

/* At this cosine and above a line is within ES_EDGE_M of a panel's plane for less than ES_CLEAR_M either way. */
#define ES_CLEAR_COSINE 0.01
#define ES_CLEAR_M 2e-5

enum { ES_PASSES_MOST = 512 };

/* Where a line clearly passes through panels: at ES_CLEAR_COSINE or more, and farther than ES_CLEAR_M from their edges
 * and from its own ends. */
struct es_passes {
    size_t n;
    double at_m[ES_PASSES_MOST + 1];    /* and one written that does not count */
    uint32_t piece[ES_PASSES_MOST + 1]; /* of the sketch, or from ES_HIT_PIECE on a hit */
};

#define ES_HIT_PIECE (UINT32_C(1) << 31)

es_panel_search es_panel_search_plain; /* on any processor */
es_panel_search es_panel_search_avx2;  /* on those that have it, and quicker */
es_panel_search *es_panel_search_best(void);

/* Take the hits in among the passes, bring them into order, and leave out what holds an end of the line. false if any
 * two are so near each other, or one such, that they may have to be grouped. */
bool es_passes_apart(const es_geometry *g, es_passes *passes, const es_hits *hits);
/* Write the first `limit` of them as crossings. */
void es_passes_write(const es_geometry *g, const es_line *line, const es_passes *passes, const es_hits *hits,
                     bool swapped, earshot_crossing *crossing, size_t limit);

/* Turn the passes, but those taken in from there, into hits. false when memory is out. */
bool es_passes_to_hits(const es_geometry *g, const es_line *line, es_passes *passes, es_hits *hits);
/* Add what a line meets among the pieces first + k for which bit k is set, without those that the passes from `passed`
 * on name in their order. false when memory is out. */
bool es_look_closely(const es_geometry *g, const es_line *line, uint64_t bits, size_t first, const es_passes *passes,
                     size_t passed, es_hits *hits);

/* Add what a line meets of a sheet or prism. false when memory is out. */
bool es_sheet_meet(const es_sheet *sheet, const es_box *at, uint32_t part, const es_line *line, es_hits *hits);
bool es_prism_meet(const es_prism *prism, uint32_t part, const es_line *line, es_hits *hits);

/* Bring hits into order and groups, and leave out those that hold an end of the line. All hits of a group then have
 * the same first_m and last_m; groups are numbered along the line. */
void es_hits_group(es_hits *hits);

/* Of which only the group is relative to others. */
earshot_crossing es_crossing_of_hit(const es_hit *hit);
/* The angle, from the one of the two that knows it best. */
double es_incidence_rad(double cosine, double sine);

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
