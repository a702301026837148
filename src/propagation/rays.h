/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rays model: direct, reflected and diffracted paths, each passing through what stands in its way. */
#ifndef ES_RAYS_H
#define ES_RAYS_H

#include "geometry/geometry.h"
#include "propagation/material.h"
#include "propagation/model.h"

/* What waves travel through. Everything is borrowed until the scene is made. */
typedef struct es_rays_input {
    const es_panel *panel; /* [n_panels] */
    size_t n_panels;
    const es_sheet *sheet; /* [n_sheets] */
    size_t n_sheets;
    const es_prism *prism; /* [n_prisms] */
    size_t n_prisms;
    const es_material *material; /* [n_materials] */
    size_t n_materials;
    const es_layer *ground; /* at ground_z_m, everywhere; NULL: none */
    double ground_z_m;
} es_rays_input;

typedef struct es_rays_options {
    unsigned reflections; /* without diffraction */
    unsigned before;      /* reflections between the source and an edge */
    unsigned after;       /* reflections between an edge and the point */
    unsigned floors;      /* reflections at what lies flat, in space */
    bool space;           /* three dimensions and short sources; else a plane and line sources */
    bool over;            /* over and under level edges, in space */
    unsigned edges;       /* diffraction at up to so many edges in a row, 1 to 3, no reflection between */
    bool thick_ends;      /* the end of a thick wall throws its shadow from its corners; else from its middle */
    double product_floor; /* a path whose product of R and T falls below this is dropped */
    double edge_floor;    /* likewise the field at a second or third edge */
    double field_floor;   /* likewise a diffracted path's field at the point */
    double keep_db;       /* paths further below the strongest are dropped */
    double promise;       /* when less than this share of what the ground plan promised arrives, choose again */
    double patch_m;       /* side of the square over which the mean is taken */
} es_rays_options;

/* The settings that were found to be worth their time; patch_m follows the frequency. */
es_rays_options es_rays_defaults(double frequency_hz);
/* For maps, where thousands of points are wanted at once: fewer paths, some ten times as fast. */
es_rays_options es_rays_map_defaults(double frequency_hz);

typedef struct es_rays es_rays;
typedef struct es_rays_work es_rays_work;

/* Prepare a source for many points. EARSHOT_OK, EARSHOT_MEMORY. */
earshot_status es_rays_new(const es_rays_input *input, double frequency_hz, earshot_vec3 source,
                           const es_rays_options *options, es_rays **rays);
void es_rays_free(es_rays *rays);

/* Room to work in, one a thread; NULL when memory is out. */
es_rays_work *es_rays_work_new(const es_rays *rays);
void es_rays_work_free(es_rays_work *work);

typedef struct es_rays_result {
    double mean;     /* patch mean of |U|^2, times the distance (in space: squared): 1 in free space */
    double at_point; /* coherent sum at the point, likewise */
    double rice_k;
    size_t n_paths;
} es_rays_result;

/* Antennas at the source and at the point; in a plane they do not count. */
typedef struct es_rays_antennas {
    earshot_antenna source, point;
} es_rays_antennas;

/* The field at a point. Any thread, each with its own work. EARSHOT_OK, EARSHOT_MEMORY. */
earshot_status es_rays_at(const es_rays *rays, es_rays_work *work, earshot_vec3 point, es_rays_antennas antennas,
                          es_rays_result *result);

/* Standard deviation of the last es_rays_at of this work in space that comes of the materials' spreads; material: those
 * of the input. */
double es_rays_spread_db(const es_rays *rays, es_rays_work *work, const es_material *material);

/* ---- one path in words ---- */

/* The strongest paths of the last es_rays_at of this work in space, strongest first; of two as strong, the shorter.
 * Returns how many were written, at most limit. */
size_t es_rays_strongest(const es_rays *rays, es_rays_work *work, earshot_path *account, size_t limit);

/* ---- the model as the program uses it ---- */

typedef struct es_rays_field es_rays_field;

/* frequency_hz 100e6 to 6e9. The structure must outlive the field. EARSHOT_OK, EARSHOT_MEMORY. */
earshot_status es_rays_field_new(const es_structure *structure, double frequency_hz, earshot_vec3 source,
                                 earshot_antenna antenna, earshot_detail detail, es_rays_field **field);
void es_rays_field_free(es_rays_field *field);
/* What the model is known to miss by where it finds this gain over free space, with the same antennas in their best
 * directions: sets loss->model_sigma_db and, from the rays' own factor, loss->rice_k. gain_db not NaN. */
void es_rays_doubt(double gain_db, double rice_k, earshot_loss *loss);
/* Any thread. Nearer than 0.1 m counts as 0.1 m. EARSHOT_OK, EARSHOT_MEMORY. */
earshot_status es_rays_field_at(const es_rays_field *field, earshot_vec3 point, earshot_antenna antenna,
                                earshot_loss *loss);
/* The strongest paths to a point. EARSHOT_OK, EARSHOT_MEMORY. */
earshot_status es_rays_field_paths(const es_rays_field *field, earshot_vec3 point, earshot_antenna antenna,
                                   earshot_path *account, size_t limit, size_t *n);

#endif
