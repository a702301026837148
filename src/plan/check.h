/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a surveyor would want to know about a plan that can be read. */
#ifndef ES_CHECK_H
#define ES_CHECK_H

#include "plan/box_tree.h"
#include "plan/place.h"
#include "plan/reader.h"

/* One straight piece of wall. */
typedef struct es_piece {
    earshot_point a, b;
    size_t wall, piece;
    unsigned storey;
    double low_m, high_m; /* above the storey's level */
} es_piece;

/* A thing at a point: receiver, mount or device. */
typedef struct es_post {
    const char *noun, *name;
    earshot_place place;
    unsigned storey;
    earshot_point point;
    double at_m;
    size_t point_field; /* which positional field the point is */
} es_post;

typedef struct es_checker {
    es_reader *reader;
    earshot_plan *plan;
    es_piece *piece; /* malloc'ed */
    size_t n_pieces;
    es_box_tree *piece_tree;
    es_post *post; /* malloc'ed */
    size_t n_posts;
} es_checker;

/* Check everything and fill what follows from the rest (what carries a door, heights that were not stated). The plan's
 * arrays are in place. reader->memory_out says when memory ran out. */
void es_check(es_reader *reader);

/* The parts. Mistakes: */
void es_check_names(es_checker *checker);
void es_check_materials(es_checker *checker);
void es_check_radios(es_checker *checker);
void es_check_shapes(es_checker *checker);
void es_check_openings(es_checker *checker);
void es_check_posts(es_checker *checker);
/* Warnings, for a plan without mistakes: */
void es_warn_materials(es_checker *checker);
void es_warn_radios(es_checker *checker);
void es_warn_walls(es_checker *checker);
void es_warn_posts(es_checker *checker);

/* Whether some statement of a list could not be read, so that what rests on it cannot be judged. */
bool es_is_broken(const es_checker *checker, es_list_id list);
/* The material of a name; NULL if it is unknown or broken. */
const earshot_material *es_material_of(const es_checker *checker, const char *name);
/* Whether a material has a layer of closed metal. */
bool es_is_metal(const es_checker *checker, const earshot_material *material);
/* The radio of a name for a band: the nearest within ES_BAND_WIDTH_HZ, else one for any band, else NULL. */
const earshot_radio *es_radio_variant(const es_checker *checker, const char *name, double hz);
#define ES_BAND_WIDTH_HZ 2e6

/* The box around two points, widened. */
es_box es_box_around(earshot_point a, earshot_point b, double wider);
double es_distance_m(earshot_point a, earshot_point b);

#endif
