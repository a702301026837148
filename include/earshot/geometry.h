/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  Which walls, doors, windows, slabs and blocks a straight line crosses.
 */
#ifndef EARSHOT_GEOMETRY_H
#define EARSHOT_GEOMETRY_H

#include "earshot/site.h"

#ifdef __cplusplus
extern "C" {
#endif

/** One crossing. Crossings at one and the same spot (a corner where two walls meet, a door jamb hit exactly, the
 *  joint of a wall drawn in two pieces) share a group: the line passes through one of them, not through all.
 *  All of a group have the same distance. The rules are in docs/decisions/001-crossings.md. */
typedef struct earshot_crossing {
    double distance_m;    /**< from the first point, along the line; middle of the stretch in a block or along a wall */
    double incidence_rad; /**< between the line and the normal, 0 to pi/2; block: of the face it enters or leaves by,
                               whichever it meets more squarely, 0 with both ends inside */
    size_t element;       /**< of the site */
    size_t group;         /**< 0, 1, 2 ... along the line */
} earshot_crossing;

/** The crossings of the straight line from a to b, nearest to a first.
 *  A line that starts or ends on a wall (within 1 um) does not cross it: the device is fixed to its surface. A line
 *  running along a wall crosses it once. From b to a the same crossings are found, in reverse order.
 *  @param[in]  a, b      ends, coordinates within 10,000 km of 0
 *  @param[out] crossing  [limit] caller's memory; the first `limit` are written
 *  @param[out] n         how many there are, which may exceed limit: call again with more room
 *  @return EARSHOT_OK; EARSHOT_ARGUMENT; EARSHOT_MEMORY. Any thread. */
earshot_status earshot_crossings(const earshot_site *site, earshot_vec3 a, earshot_vec3 b, earshot_crossing *crossing,
                                 size_t limit, size_t *n);

#ifdef __cplusplus
}
#endif
#endif
