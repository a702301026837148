/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  Where the receiver goes, which repeaters are fitted, and what is wired: the cheapest arrangement in which every
 *  device has its dependable margin, with proof that there is none cheaper among the allowed places.
 *
 *  Order of preference: fewest devices left without a way; least cost; largest worst dependable margin of the radio
 *  links used; fewest repeaters; names. A device that has its margin directly goes directly.
 *  docs/model/placement.md has the programme that is solved.
 */
#ifndef EARSHOT_PLACE_H
#define EARSHOT_PLACE_H

#include "earshot/decide.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A place that a receiver or a repeater may go. */
typedef struct earshot_spot {
    const char *name, *label; /**< of the plan's receiver or mount; made up for a point along a wall */
    long receiver, mount;     /**< index in the plan, or EARSHOT_NONE; both EARSHOT_NONE: a point along a wall */
    unsigned storey;
    earshot_point point;
    double at_m;            /**< above the storey's level */
    bool receives, repeats; /**< whether a receiver, a repeater may go there */
    bool fitted;            /**< a repeater is there already: it costs nothing */
} earshot_spot;

/** What is wanted. */
typedef struct earshot_place_request {
    const earshot_site *const *site; /**< [n_sites] the plan in each scene; the arrangement must hold in all */
    size_t n_sites;
    earshot_model model;
    double frequency_hz;
    long receiver;      /**< judge this receiver of the plan only; EARSHOT_NONE: every receiver and mount */
    bool anywhere;      /**< also points along walls */
    const bool *storey; /**< [n_storeys] whose walls; NULL: all */
    double spacing_m;   /**< between points, 0.2 to 100 */
    double height_m;    /**< of the points above the floor */
    size_t best;        /**< choices wanted, each with another receiver place; 1 or more */
    double seconds;     /**< for the solver; INFINITY: as long as it takes */
    const earshot_watch *watch;
} earshot_place_request;

/** A cable from a device to the receiver's panel, and what arrives at its end. Two conductors feed the device. */
typedef struct earshot_cable {
    double length_m, outdoor_m;
    unsigned walls, slabs; /**< to be drilled */
    size_t *element;       /**< [n_elements] of the site, drilled, from the receiver on */
    size_t n_elements;
    earshot_vec3 *point; /**< [n_points] corners of the route, from the receiver on */
    size_t n_points;
    double cost;        /**< with the fixed cost of the point */
    double current_a;   /**< stated in the plan, or usual for the kind */
    double section_mm2; /**< smallest standard cross-section that serves; the largest if none does */
    double ohm_per_km;  /**< of one conductor, warm */
    double drop_v, far_v;
    double thin_v; /**< what would arrive with the thinnest cross-section */
    bool serves;   /**< far_v is enough; false: it needs a supply of its own */
} earshot_cable;

/** How a device goes. */
typedef struct earshot_placed {
    earshot_verdict verdict;
    bool served;          /**< false: no way was found; verdict then is EARSHOT_VERDICT_WIRE */
    long spot;            /**< of the repeater it goes through, or EARSHOT_NONE */
    double dependable_db; /**< of its own radio link, in the worst scene; NAN when it has none */
    earshot_cable cable;  /**< zero unless wired */
} earshot_placed;

/** A repeater in use. */
typedef struct earshot_repeater {
    size_t spot;
    long reports_to;      /**< spot of another repeater, or EARSHOT_NONE: the receiver */
    double dependable_db; /**< of its link to that, in the worst scene */
    size_t n_devices;     /**< that it hears itself */
} earshot_repeater;

/** How busy the channel is; docs/model/occupancy.md. */
typedef struct earshot_load {
    double offered;         /**< share of time with something on air, overlaps counted twice */
    double collision;       /**< chance that a message meets another, mean of all */
    double worst_collision; /**< of the device that has it worst */
    long worst_device;      /**< EARSHOT_NONE: nobody sends */
    double busiest_duty;    /**< share of time that the busiest transmitter is on air */
    const char *busiest;    /**< its name; NULL: nobody sends */
    double duty_limit; /**< for its frequency and power, by the rules known; NAN: no rule is known that allows it */
    bool crowded;      /**< collision is above what is thought acceptable */
    bool too_often;    /**< busiest_duty is above duty_limit */
    bool assumed;      /**< some rate or airtime was not stated, and taken as usual */
} earshot_load;

/** One arrangement. */
typedef struct earshot_choice {
    size_t spot; /**< of the receiver */
    size_t n_unserved;
    double cost;
    double cost_bound; /**< no arrangement with the receiver here costs less; = cost when proven */
    double worst_db;   /**< smallest dependable margin of the links used; INFINITY: all is wired */
    bool proven;
    unsigned expanders;
    earshot_repeater *repeater; /**< [n_repeaters] by name */
    size_t n_repeaters;
    earshot_placed *device; /**< [n_devices] as in the plan */
    size_t n_devices;
    size_t n_direct, n_repeated, n_wired;
    earshot_load load;
} earshot_choice;

typedef enum earshot_obstacle {
    EARSHOT_OBSTACLE_NO_WAY,         /**< a device that nothing hears and that cannot be wired */
    EARSHOT_OBSTACLE_RECEIVER_FULL,  /**< the receiver holds `amount` devices too few */
    EARSHOT_OBSTACLE_REPEATERS_FULL, /**< so does each repeater */
    EARSHOT_OBSTACLE_REPEATERS,      /**< `amount` repeaters more than allowed are needed */
    EARSHOT_OBSTACLE_INPUTS          /**< the panel lacks `amount` wired inputs, expanders included */
} earshot_obstacle;

/** One thing that stands in the way of serving every device. */
typedef struct earshot_reason {
    earshot_obstacle obstacle;
    long device;   /**< EARSHOT_OBSTACLE_NO_WAY */
    long capacity; /**< EARSHOT_OBSTACLE_RECEIVER_FULL: index into plan->capacity */
    unsigned amount;
    double short_db; /**< what the device's best link lacks; INFINITY: it has none */
    long nearest;    /**< spot of that link's other end, or EARSHOT_NONE */
} earshot_reason;

typedef struct earshot_placement {
    const earshot_plan *plan;
    const earshot_site *const *site; /**< [n_sites] the sites themselves are borrowed */
    size_t n_sites;
    earshot_model model;
    double frequency_hz;
    earshot_need need;
    earshot_spot *spot; /**< [n_spots] by name */
    size_t n_spots;
    earshot_choice *choice; /**< [n_choices] best first */
    size_t n_choices;
    earshot_reason *reason; /**< [n_reasons] when choice[0] leaves devices without a way: the smallest set */
    size_t n_reasons;
    double cost_bound; /**< no arrangement at all costs less */
    bool proven; /**< false: time ran out; choice[0] costs at most choice[0].cost - cost_bound more than the best */
    double radio_s, cable_s, solve_s;
    size_t n_links, n_solves;
    struct es_arena *arena; /**< owns the spots and their names */
} earshot_placement;

/** @return whether this build can place: it needs GLPK. */
bool earshot_place_available(void);

/** Find the best arrangements.
 *  @param[out] placement  free with earshot_placement_clear; zeroed on failure
 *  @return EARSHOT_OK; EARSHOT_ARGUMENT; EARSHOT_NO_SUCH_NAME (a radio not made for this band, no place at all);
 *          EARSHOT_PLAN_LIMIT (too many places); EARSHOT_NOT_BUILT_IN; EARSHOT_MEMORY; EARSHOT_INTERNAL. */
earshot_status earshot_place_run(const earshot_place_request *request, earshot_placement *placement,
                                 earshot_error *error);
void earshot_placement_clear(earshot_placement *placement);

/** The cheapest cable from a device to a receiver of the plan, whatever the device's verdict. Any build can do this.
 *  @param[out] cable  free with earshot_cable_clear; zeroed on failure, and where no way is drawn (n_points is 0)
 *  @return EARSHOT_OK; EARSHOT_ARGUMENT; EARSHOT_MEMORY. */
earshot_status earshot_cable_find(const earshot_site *site, size_t receiver, size_t device, earshot_cable *cable);
void earshot_cable_clear(earshot_cable *cable);

/** The plan with one choice applied, as text: the receiver moved, repeaters fitted, devices wired, this band alone.
 *  @param[out] text  free with earshot_text_free; NULL on failure
 *  @return EARSHOT_OK; EARSHOT_ARGUMENT; EARSHOT_MEMORY. */
earshot_status earshot_placement_write(const earshot_placement *placement, size_t choice, char **text);

#ifdef __cplusplus
}
#endif
#endif
