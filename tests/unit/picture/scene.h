/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A small plan with a made-up coverage, so that pictures do not change when a model does. */
#ifndef SCENE_H
#define SCENE_H

#include "support/check.h"

#include "earshot/earshot.h"

extern const char SCENE_PLAN[];

typedef struct scene {
    earshot_plan *plan;
    earshot_site *site;
    earshot_check check;
    earshot_grid grid;
    earshot_map_view view;
} scene;

/* Of SCENE_PLAN, without the lines that contain a text (NULL: all lines). */
void scene_new(scene *s, const char *without);
void scene_free(scene *s);

#endif
