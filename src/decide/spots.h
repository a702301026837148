/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which places there are for a receiver or a repeater, and what stands there. */
#ifndef ES_SPOTS_H
#define ES_SPOTS_H

#include "decide/route.h"
#include "earshot/place.h"

enum { ES_MAX_SPOTS = 2000 };

/* Fill placement->spot, sorted by name. The grid, which may be NULL, tells what lies outdoors. */
earshot_status es_spots_find(const earshot_place_request *request, const es_route_grid *grid,
                             earshot_placement *placement, earshot_error *error);

/* The station that a receiver or a repeater at a spot is. radio: NULL if none works there. Mount and point lend the
 * radio of `receiver`, an index into the plan. */
earshot_station es_spot_receiver(const earshot_placement *placement, size_t spot, size_t receiver);
earshot_station es_spot_repeater(const earshot_placement *placement, size_t spot, size_t receiver);

/* Whether two radios can say anything to each other; whether one can pass messages on. */
bool es_radios_link(const earshot_radio *device, const earshot_radio *receiver);
bool es_radio_repeats(const earshot_radio *radio);

#endif
