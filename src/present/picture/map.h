/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ES_MAP_H
#define ES_MAP_H

#include "present/drawing/sheet.h"

typedef struct es_map_subject {
    const earshot_site *site;
    const earshot_map_view *view;
    bool bare; /* no heading: the page around it says what it is */
} es_map_subject;

es_compose es_map_compose;
/* Better on a page lying on its side? */
bool es_map_is_wide(const earshot_grid *grid);
/* "Map of the ground floor of ...": what a person who does not see it is told. */
void es_map_words(const es_map_subject *subject, earshot_language language, earshot_text *text);

#endif
