/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How busy the channel gets with one arrangement. */
#ifndef ES_TRAFFIC_H
#define ES_TRAFFIC_H

#include "earshot/place.h"

/* EARSHOT_OK or EARSHOT_MEMORY. `receiver`: of the plan, whose radio is lent to mounts and points. */
earshot_status es_traffic_of(const earshot_placement *placement, const earshot_choice *choice, size_t receiver,
                             earshot_load *load);

#endif
