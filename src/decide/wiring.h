/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What wiring each device costs, and the cables of those that are wired. */
#ifndef ES_WIRING_H
#define ES_WIRING_H

#include "decide/programme.h"
#include "decide/route.h"
#include "earshot/place.h"

/* The grid of a plan's site. *grid is NULL, with EARSHOT_OK, for a plan without a storey. */
earshot_status es_wiring_grid(const earshot_site *site, es_route_grid **grid);

/* Cost of a wire from each spot where a receiver may stand to each device that may be wired: wire[n_spots][n_devices],
 * ES_COST_NONE where there is none. Shared by threads. */
earshot_status es_wiring_costs(const earshot_placement *placement, const es_route_grid *grid, es_cost *wire);

/* The cables from one spot to the devices marked as wired. */
earshot_status es_wiring_cables(const earshot_placement *placement, const es_route_grid *grid, size_t spot,
                                earshot_placed *device);

/* Whether a device may be wired at all; how many inputs of the panel it takes; its current at 12 V, stated or usual. */
bool es_may_be_wired(const earshot_device *device);
unsigned es_inputs_of(earshot_kind kind);
double es_current_of(const earshot_device *device);

/* A cost in hundredths, no more than ES_COST_MAX. */
es_cost es_cost_of(double units);

#endif
