/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the statements of a plan to elements and geometry. */
#ifndef ES_BUILD_H
#define ES_BUILD_H

#include "site/site.h"

/* Number the elements, cut the walls and build the geometry; materials must be resolved. `scene` may be NULL. What was
 * made before a failure belongs to the site. EARSHOT_OK, EARSHOT_NO_SUCH_NAME, EARSHOT_PLAN_LIMIT, EARSHOT_MEMORY. */
earshot_status es_site_build(earshot_site *site, const earshot_scene *scene, earshot_error *error);

/* A growing list of panels, malloc'ed. */
typedef struct es_panels {
    es_panel *item;
    size_t n, capacity;
} es_panels;

/* An opening on a piece of wall: distances along it and heights above level 0. */
typedef struct es_gap {
    double from_m, to_m;
    double z0_m, z1_m;
    size_t element, material;
    double thickness_m;
} es_gap;

/* A straight piece of wall, whole: `wall` carries its ends, heights and what it is. It is cut at the ends of its n gaps
 * into columns, and each column into panels, so that neighbours share their edges as equal doubles and the areas of all
 * panels add up to that of the wall. Gaps are sorted in place. EARSHOT_OK, EARSHOT_MEMORY or EARSHOT_PLAN_LIMIT. */
earshot_status es_site_cut_wall(const es_panel *wall, es_gap *gap, size_t n, es_panels *panels);

#endif
