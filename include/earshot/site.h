/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  The site: a checked plan made ready for computing, in one scene. Positions are absolute, materials are
 *  resolved, walls are cut up around their doors and windows and put in an index.
 */
#ifndef EARSHOT_SITE_H
#define EARSHOT_SITE_H

#include "earshot/plan.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct earshot_site earshot_site;

/** A point in space, metres: x and y of the plan, z above level 0. */
typedef struct earshot_vec3 {
    double x_m, y_m, z_m;
} earshot_vec3;

typedef enum earshot_element_kind {
    EARSHOT_ELEMENT_WALL,
    EARSHOT_ELEMENT_DOOR,
    EARSHOT_ELEMENT_WINDOW,
    EARSHOT_ELEMENT_SLAB,
    EARSHOT_ELEMENT_BLOCK
} earshot_element_kind;

/** One thing of the plan that a path can meet. */
typedef struct earshot_element {
    earshot_element_kind kind;
    size_t statement; /**< index into plan->wall, ->opening, ->slab or ->block */
    size_t material;  /**< index into plan->material, after the scene's swaps */
    unsigned storey;
} earshot_element;

/** Make a site of a plan in one of its scenes.
 *  @param[in]  plan   must outlive the site, which borrows it
 *  @param[in]  scene  name of a scene, or NULL for the plan as drawn
 *  @param[out] site   free with earshot_site_free; NULL on failure
 *  @return EARSHOT_OK; EARSHOT_NO_SUCH_NAME (scene, or a material in a plan made by hand); EARSHOT_PLAN_INVALID (an
 *          opening on no wall, in a plan made by hand); EARSHOT_PLAN_LIMIT; EARSHOT_MEMORY. A site may be shared by
 *          threads. */
earshot_status earshot_site_new(const earshot_plan *plan, const char *scene, earshot_site **site, earshot_error *error);
void earshot_site_free(earshot_site *site);

/** What readings on site found of one material. */
typedef struct earshot_material_correction {
    double loss_db;   /**< added to the loss of each passage; the sum is never below 0 */
    double spread_db; /**< takes the place of the material's spread; NAN: it stays */
} earshot_material_correction;

/** The same plan with its materials corrected, so that any model can be asked "and if this wall took 1 dB more?".
 *  @param[in] correction  [plan->n_materials], copied
 *  @return as earshot_site_new; EARSHOT_ARGUMENT also for a correction that is not finite. */
earshot_status earshot_site_new_corrected(const earshot_plan *plan, const char *scene,
                                          const earshot_material_correction *correction, earshot_site **site,
                                          earshot_error *error);

/** @return the plan it was made of. */
const earshot_plan *earshot_site_plan(const earshot_site *site);
/** @return the name of the scene it was made in; NULL: the plan as drawn. */
const char *earshot_site_scene(const earshot_site *site);
/** @return how many elements there are; they are numbered from 0. */
size_t earshot_site_elements(const earshot_site *site);
/** @param element below earshot_site_elements(). */
earshot_element earshot_site_element(const earshot_site *site, size_t element);
/** Position of a device, receiver or mount of the plan, by its index there. */
earshot_vec3 earshot_site_device_at(const earshot_site *site, size_t device);
earshot_vec3 earshot_site_receiver_at(const earshot_site *site, size_t receiver);
earshot_vec3 earshot_site_mount_at(const earshot_site *site, size_t mount);
/** The radio of this name that works at a frequency: one whose band is nearest and within 2 MHz, else one for any
 *  band. @return NULL if there is none. */
const earshot_radio *earshot_site_radio(const earshot_site *site, const char *name, double frequency_hz);

#ifdef __cplusplus
}
#endif
#endif
