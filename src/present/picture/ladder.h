/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The budget of a link as a descending ladder. */
#ifndef ES_LADDER_H
#define ES_LADDER_H

#include "present/drawing/sheet.h"
#include "present/explain.h"

enum { ES_LADDER_WALLS = 20 }; /* obstacles with a rung of their own; what is beyond shares one */

/* Draw it at 0, top; returns its height. */
double es_ladder_draw(es_pen *pen, const es_subject *subject, double top, double width_pt);
/* Which words an obstacle goes by: its label and material. */
void es_obstacle_words(const earshot_site *site, size_t element, earshot_language language, earshot_text *text);

#endif
