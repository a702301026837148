/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Geometry of a site: upright panels, horizontal sheets, prisms, and the index over them. No decibels here. */
#ifndef ES_GEOMETRY_H
#define ES_GEOMETRY_H

#include "earshot/geometry.h"

/* Lengths below which there is no difference, metres. A plan is drawn to the centimetre; a double holds 15 pm at 100 km
 * from the origin and turning a plan costs a few times that. Between the two there is room for all three:
 * crossings no farther apart than ES_SPOT_M along the line are at one spot, and a device no farther from a wall is
 * fixed to it; a line that passes beside an edge by no more than ES_EDGE_M meets it. The second is smaller, so that two
 * walls that share a corner and are both met there are found at one spot. Coordinates beyond ES_REACH_M, where a double
 * holds 2 nm, are refused. */
#define ES_SPOT_M 1e-6
#define ES_EDGE_M 1e-7
#define ES_REACH_M 1e7

/* An upright rectangle: a piece of wall, a door, a window. Wall pieces around an opening are panels of their own and
 * share their edges with it exactly (same doubles). */
typedef struct es_panel {
    double ax_m, ay_m, bx_m, by_m; /* centre line on the ground plan */
    double z0_m, z1_m;
    size_t element;
    size_t material;
    double thickness_m; /* 0 when not known */
} es_panel;

/* A horizontal sheet with holes: a floor, ceiling or flat roof; z_m is its centre plane. */
typedef struct es_sheet {
    const earshot_point *outline; /* [n_outline], borrowed */
    size_t n_outline;
    const earshot_point *const *hole; /* [n_holes] */
    const size_t *n_hole;             /* [n_holes] corners of each */
    size_t n_holes;
    double z_m, thickness_m;
    size_t element, material;
} es_sheet;

/* A solid with upright sides: a tank, a vehicle, a rack. */
typedef struct es_prism {
    const earshot_point *outline;
    size_t n_outline;
    double z0_m, z1_m;
    size_t element, material;
} es_prism;

typedef struct es_geometry es_geometry;

/* Takes copies of the three arrays; outlines and holes are borrowed and must outlive it. Builds the wall index.
 * EARSHOT_OK; EARSHOT_ARGUMENT for a coordinate that is not a number or beyond ES_REACH_M; EARSHOT_MEMORY. */
earshot_status es_geometry_new(const es_panel *panel, size_t n_panels, const es_sheet *sheet, size_t n_sheets,
                               const es_prism *prism, size_t n_prisms, es_geometry **geometry);
void es_geometry_free(es_geometry *geometry);

const es_panel *es_geometry_panels(const es_geometry *geometry, size_t *n);
const es_sheet *es_geometry_sheets(const es_geometry *geometry, size_t *n);
const es_prism *es_geometry_prisms(const es_geometry *geometry, size_t *n);

/* As earshot_crossings, on the geometry itself. Symmetric in a and b to the last bit: the line is always followed from
 * its lower end (by x, then y, then z), and turned round at the end. Takes no memory for up to 96 crossings without
 * prisms, counting what is met at the border of two cells of the index twice.
 *
 * What is met:
 * - A panel that the line passes through, edges included. A line in its plane runs along it: a stretch, incidence pi/2.
 * - A sheet whose outline, edge included, the line passes through, and not the inside of a hole. A line in its plane: a
 *   stretch for each connected part.
 * - A prism, for each connected part of the line inside it longer than ES_SPOT_M. Running along a face does not count,
 *   an end inside does. Incidence of the face it enters or leaves by, whichever it meets more squarely.
 * - Not a panel shorter or lower than ES_SPOT_M; a line shorter than that meets nothing.
 *
 * What is one group (all its crossings carry its middle as their distance):
 * - Panels and sheets met at one spot.
 * - Stretches that overlap or touch end to end, and with them a panel met at either end of the whole that stands to one
 *   side of the line only, a corner. One that passes on both sides, or is met between the ends, is its own group.
 * - A prism is always its own.
 *
 * What is left out: a spot or a whole stretch that holds an end of the line.
 *
 * EARSHOT_OK; EARSHOT_ARGUMENT for an end that is not a number or beyond ES_REACH_M; EARSHOT_MEMORY. */
earshot_status es_geometry_crossings(const es_geometry *geometry, earshot_vec3 a, earshot_vec3 b,
                                     earshot_crossing *crossing, size_t limit, size_t *n);

/* Where is a point? 1 inside a polygon, 0 on its edge (within tolerance_m), -1 outside. */
int es_polygon_locate(const earshot_point *corner, size_t n, earshot_point p, double tolerance_m);
/* Is a point inside a polygon? On the edge (within tolerance_m) counts as inside. */
bool es_polygon_contains(const earshot_point *corner, size_t n, earshot_point p, double tolerance_m);
/* Does a closed polygon cross or touch itself (within ES_SPOT_M)? A corner written twice in a row does not count, an
 * edge folded back on the one before does. Takes time with the square of n: keep n below some 10,000. */
bool es_polygon_self_crosses(const earshot_point *corner, size_t n);
/* Distance of a point from a segment, and where along it (0 to 1) the nearest point lies (may be NULL). */
double es_segment_distance_m(earshot_point a, earshot_point b, earshot_point p, double *along);

#endif
