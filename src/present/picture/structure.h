/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Walls, doors, windows and blocks of a storey, drawn to scale. */
#ifndef ES_STRUCTURE_H
#define ES_STRUCTURE_H

#include "present/drawing/ramp.h"
#include "present/picture/frame.h"

/* What a storey is drawn with. */
typedef struct es_scene_look {
    const earshot_site *site;
    unsigned storey;
    double frequency_hz;
} es_scene_look;

void es_structure_draw(es_pen *pen, const es_frame *frame, const es_scene_look *look);
/* The tone of what takes so many decibels: white for nothing, near black for 30 dB and more. */
double es_structure_tone(double loss_db);
/* Sum of the layers; 0.1 m where a material states none. */
double es_structure_thickness_m(const earshot_material *material);
/* Fill the current path with the tone of a material, and draw its outline; for legends. */
void es_structure_swatch(es_pen *pen, double x, double y, double width, double height, double loss_db);
/* Mark the materials that are drawn on a storey: used[n_materials]. */
void es_structure_materials(const es_scene_look *look, bool *used);

#endif
