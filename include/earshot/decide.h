/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  What to do about each device: heard directly, through a repeater, or by wire.
 */
#ifndef EARSHOT_DECIDE_H
#define EARSHOT_DECIDE_H

#include "earshot/coverage.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum earshot_verdict { EARSHOT_VERDICT_DIRECT, EARSHOT_VERDICT_REPEATER, EARSHOT_VERDICT_WIRE } earshot_verdict;

/** @return "direct", "repeater" or "wire"; NULL if out of range. */
const char *earshot_verdict_name(earshot_verdict verdict);

enum { EARSHOT_NONE = -1 };

/** One device, decided. */
typedef struct earshot_decision {
    earshot_verdict verdict;
    earshot_link link;     /**< to the receiver */
    long mount;            /**< of the repeater proposed, or EARSHOT_NONE */
    earshot_link to_mount; /**< device to that repeater; only with a mount */
    bool unwirable;        /**< verdict is wire, but that cannot be: another place must be found */
} earshot_decision;

/** More devices of some kinds than the receiver can hold. */
typedef struct earshot_overload {
    size_t capacity; /**< index into plan->capacity */
    unsigned needed; /**< devices of these kinds that go by radio */
} earshot_overload;

/** What earshot_place_run finds for the receiver checked; earshot/place.h. */
struct earshot_placement;

/** A whole plan, checked for one receiver, band, model and scene. */
typedef struct earshot_check {
    const earshot_site *site;
    earshot_model model;
    double frequency_hz;
    size_t receiver;
    earshot_need need;
    earshot_decision *device; /**< [n_devices] as in the plan */
    size_t n_devices;
    earshot_link *mount; /**< [n_mounts] repeater at each mount to the receiver; zero where none can work, and
                              everywhere when no device lacks margin */
    size_t n_mounts;
    earshot_overload *overload;
    size_t n_overloads;
    size_t n_direct, n_repeater, n_wire;
    bool all_direct; /**< all is well as the plan has it: every device is heard with its margin, directly or through a
                          repeater that is fitted, or is wired by the plan; and nothing is overloaded */
    struct earshot_placement *placement; /**< the best arrangement for this receiver; NULL where every device is heard
                                              directly, or this build cannot place */
} earshot_check;

/** Judge every device of the site against one receiver.
 *  When every device is heard directly, that is the verdict. Else the verdicts are those of the cheapest arrangement
 *  of repeaters at the plan's mounts and of wires (earshot/place.h), in which every device has its margin. A build
 *  that cannot place goes by a first rule: if a mount exists from which a repeater has its own dependable margin to the
 *  receiver and the device has its to the repeater, the verdict is repeater, at the mount with the largest smaller
 *  margin of the two (of two equal mounts the first by name); otherwise wire.
 *  `link=wire` devices are wire. A repeater must send and receive, have mains at its mount if its radio needs mains,
 * and the receiver's and the device's radios must allow a hop. An overload counts the devices of the plan that are not
 * `link=wire`, whatever their verdict.
 *  @param[out] check  arrays allocated here; free with earshot_check_clear; zeroed on failure
 *  @return EARSHOT_OK; EARSHOT_NO_SUCH_NAME (a radio not made for this band); EARSHOT_ARGUMENT (also a device that can
 *          neither send to the receiver nor hear it); EARSHOT_NOT_BUILT_IN; EARSHOT_MEMORY; EARSHOT_INTERNAL when
 *          stopped by the watch. */
earshot_status earshot_check_run(const earshot_site *site, earshot_model model, double frequency_hz, size_t receiver,
                                 const earshot_watch *watch, earshot_check *check, earshot_error *error);
void earshot_check_clear(earshot_check *check);

#ifdef __cplusplus
}
#endif
#endif
