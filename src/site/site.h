/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of a site, for the library's own modules. */
#ifndef ES_SITE_H
#define ES_SITE_H

#include "earshot/site.h"
#include "propagation/model.h"

struct earshot_site {
    const earshot_plan *plan;
    const char *scene; /* NULL: as drawn */
    earshot_element *element;
    size_t n_elements;
    es_geometry *geometry;
    es_material *material; /* [plan->n_materials], same order as in the plan */
    es_structure structure;
    earshot_adjust *adjust; /* NULL: losses are the model's own */
    const void *adjust_context;
    struct es_arena *arena; /* owns all arrays above but geometry */
};

#endif
