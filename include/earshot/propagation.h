/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  Path loss between two points of a site, by one of two models behind one interface.
 */
#ifndef EARSHOT_PROPAGATION_H
#define EARSHOT_PROPAGATION_H

#include <stdint.h>

#include "earshot/site.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum earshot_model {
    EARSHOT_MODEL_DIRECT, /**< free space plus the loss of every wall on the straight line */
    EARSHOT_MODEL_RAYS    /**< direct, reflected and diffracted paths through the walls */
} earshot_model;

/** @return "direct" or "rays"; NULL if out of range. */
const char *earshot_model_name(earshot_model model);

/** Loss of one link, and how well it is known. */
typedef struct earshot_loss {
    double distance_m;
    double free_space_db;     /**< ITU-R P.525 */
    double loss_db;           /**< basic transmission loss, local mean: free space and all obstacles; with stated
                                   antennas their patterns relative to isotropic are in it (negative gain adds) */
    double material_sigma_db; /**< from the spreads of the materials passed, of all paths by their power */
    double model_sigma_db;    /**< standard deviation of the model itself */
    double rice_k;            /**< Rice factor as a power ratio; 0: Rayleigh */
    size_t n_obstacles;       /**< groups of crossings on the straight line */
} earshot_loss;

/** How far the rays model goes; the direct model knows no difference. */
typedef enum earshot_detail {
    EARSHOT_DETAIL_LINK, /**< what a device is judged by */
    EARSHOT_DETAIL_MAP   /**< fewer paths, for thousands of points: some ten times as fast, and a little less exact,
                              which the model's standard deviation says */
} earshot_detail;

/** A transmitting place prepared for many receiving points at one frequency. The direct model is reciprocal:
 *  swapping the ends gives the same loss to the last bit. The rays model is not quite: its local mean is taken about
 *  the receiving point, and paths are dropped as seen from the source (docs/model/rays.md has the figures). */
typedef struct earshot_field earshot_field;

/** @param[in] site        must outlive the field
 *  @param[in] frequency_hz  100e6 to 6e9
 *  @param[in] source        metres
 *  @param[out] field        free with earshot_field_free; NULL on failure
 *  @return EARSHOT_OK; EARSHOT_ARGUMENT; EARSHOT_MEMORY. */
earshot_status earshot_field_new(const earshot_site *site, earshot_model model, double frequency_hz,
                                 earshot_vec3 source, earshot_antenna antenna, earshot_detail detail,
                                 earshot_field **field);
/** Loss to one point. Any number of threads may call this on one field.
 *  @param[in] point    metres; nearer than 0.1 m to the source counts as 0.1 m
 *  @return EARSHOT_OK; EARSHOT_ARGUMENT; EARSHOT_MEMORY. */
earshot_status earshot_field_at(const earshot_field *field, earshot_vec3 point, earshot_antenna antenna,
                                earshot_loss *loss);
void earshot_field_free(earshot_field *field);

/** What a path does where it meets something. */
typedef enum earshot_deed {
    EARSHOT_PASSES,    /**< goes through the element */
    EARSHOT_REFLECTED, /**< at the element, or the ground */
    EARSHOT_DIFFRACTED /**< bent round an edge of the element */
} earshot_deed;

/** Stands for the open ground, which is no element. */
#define EARSHOT_GROUND SIZE_MAX

typedef struct earshot_meeting {
    earshot_deed deed;
    size_t element; /**< of the site, or EARSHOT_GROUND */
    earshot_vec3 at;
    double along_m; /**< of the ground plan, from the source */
} earshot_meeting;

enum { EARSHOT_MOST_MEETINGS = 48 };

/** A path: what it meets in order from the source, how long it is, and its share of the field. */
typedef struct earshot_path {
    double gain_db; /**< of this path alone, over free space between isotropic antennas on the straight line */
    double length_m;
    size_t n_meetings; /**< the first EARSHOT_MOST_MEETINGS are kept */
    earshot_meeting meeting[EARSHOT_MOST_MEETINGS];
} earshot_path;

/** The strongest paths to a point, strongest first. The direct model has one, the straight line, and gives none.
 *  @param[out] path  [limit] caller's memory
 *  @param[out] n     how many were written
 *  @return EARSHOT_OK; EARSHOT_ARGUMENT; EARSHOT_MEMORY. Any number of threads may call this on one field. */
earshot_status earshot_field_paths(const earshot_field *field, earshot_vec3 point, earshot_antenna antenna,
                                   earshot_path *path, size_t limit, size_t *n);

/** What readings taught about the losses of a site beyond its materials: called for each loss after the model has
 *  computed it, and may change loss_db and the two standard deviations. Must be safe to call from many threads.
 *  @param[in] source, point  as given to the field */
typedef earshot_status earshot_adjust(const void *context, double frequency_hz, earshot_vec3 source, earshot_vec3 point,
                                      earshot_loss *loss);
/** From now on all losses of the site go through `adjust`, whoever asks for them (check, map, placement); NULL: none.
 *  `context` must outlive the site. Not while another thread uses the site. */
void earshot_site_adjust(earshot_site *site, earshot_adjust *adjust, const void *context);

/** Free-space basic transmission loss between isotropic antennas.
 *  Source   ITU-R P.525: 20 log10(4 pi d f / c); docs/model/free-space.md
 *  @param distance_m   above 0     @param frequency_hz  above 0
 *  @return decibels; NAN for an argument out of range. */
double earshot_free_space_db(double distance_m, double frequency_hz);

/** Loss of one material of the plan on a straight path (normal incidence), as the direct model uses it: its table
 *  where it has one (straight line in log frequency, flat beyond), else the slab formula of ITU-R P.2040.
 *  @param[in]  material  index into plan->material
 *  @param[out] basis     how the value is known; may be NULL
 *  @return decibels, >= 0; NAN for an argument out of range. */
double earshot_material_loss_db(const earshot_site *site, size_t material, double frequency_hz, earshot_basis *basis);
/** @return standard deviation of that loss from one building to the next, decibels. */
double earshot_material_spread_db(const earshot_site *site, size_t material);

#ifdef __cplusplus
}
#endif
#endif
