/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  The link budget: from what leaves one device to what the other needs, with an allowance for what is not known.
 */
#ifndef EARSHOT_LINK_H
#define EARSHOT_LINK_H

#include "earshot/propagation.h"

#ifdef __cplusplus
extern "C" {
#endif

/** ERP refers to a half-wave dipole, EIRP to an isotropic antenna: gain of the dipole 1.64 = 2.15 dB. */
#define EARSHOT_DIPOLE_DB 2.15

/** One end of a link: where it is and what it can do. */
typedef struct earshot_station {
    earshot_vec3 at;
    const earshot_radio *radio;
    double mounting_db; /**< loss by what it is fixed to, both directions */
    double body_db;     /**< loss by the hand and body that hold it */
} earshot_station;

/** The budget of one direction, all terms in dB or dBm. */
typedef struct earshot_direction {
    bool used; /**< false: this direction does not exist (one-way radio) */
    double erp_dbm, eirp_dbm;
    double gain_dbi;         /**< receiving antenna */
    double level_dbm;        /**< at the receiver: local mean */
    double noise_dbm;        /**< noise floor in the bandwidth; NAN when not stated */
    double threshold_dbm;    /**< larger of sensitivity and noise + required signal-to-noise ratio */
    double margin_db;        /**< level - threshold, rounded to 0.01 dB */
    bool noise_extrapolated; /**< the man-made noise in it is beyond the frequencies its source states */
} earshot_direction;

/** A judged link. Margins are rounded to 0.01 dB before anything is decided on them. */
typedef struct earshot_link {
    earshot_loss loss;
    double mounting_db, body_db; /**< of both ends together */
    earshot_direction out;       /**< from the device to the receiver */
    earshot_direction back;      /**< from the receiver to the device; used when both are two-way */
    double margin_db;            /**< of the worse direction */
    double uncertainty_db;       /**< standard deviation of material and model in quadrature */
    double fading_db;            /**< depth below the local mean that is not exceeded with the wanted confidence */
    double allowance_db;         /**< fading and uncertainty together at that confidence */
    double dependable_db;        /**< margin - allowance, rounded to 0.01 dB */
    bool meets;                  /**< dependable_db >= need */
    double pattern_db;           /**< gain of both antennas in their best directions, counted in ERP and receive gain
                                      already and so taken off again where loss holds their patterns; 0: isotropic */
} earshot_link;

/** What a dependable link must keep in hand. */
typedef struct earshot_need {
    double margin_db;
    double confidence; /**< 0.5 to 0.9999 */
} earshot_need;

/** Judge a link from its loss and its two ends. A device that only receives (a sounder without a transmitter) is judged
 *  on the way back alone.
 *  @param[in]  device, receiver  the two ends
 *  @param[in]  loss              between their places
 *  @param[in]  frequency_hz      for the noise floor
 *  @return EARSHOT_OK; EARSHOT_ARGUMENT (NaN, confidence out of range, an end that can neither send nor receive). */
earshot_status earshot_link_judge(const earshot_station *device, const earshot_station *receiver,
                                  const earshot_loss *loss, double frequency_hz, earshot_need need, earshot_link *link);

/** Depth of fading below the mean power that a share `confidence` of places or moments does not exceed.
 *  Source   Rice distribution of power: noncentral chi-square with 2 degrees of freedom; docs/model/fading.md
 *  @param rice_k      power ratio, 0 (Rayleigh) to 1e6   @param confidence  0.5 to 0.9999
 *  @return decibels, >= 0 (0 where the median lies above the mean); NAN out of range. */
double earshot_fading_depth_db(double rice_k, double confidence);

/** Receiver noise: 10 log10(k T0 B) with the noise figure and man-made noise (ITU-R P.372) added as powers.
 *  Source   docs/model/noise.md
 *  @return dBm; NAN when bandwidth or noise figure is not stated. */
double earshot_noise_floor_dbm(const earshot_radio *radio, double frequency_hz);
/** Man-made noise of an environment, above k T0 B: c - d log10(f in MHz).
 *  Source   ITU-R P.372 as a public program reproduces it; docs/model/noise.md
 *  @return decibels; -INFINITY for EARSHOT_NOISE_NONE; NAN for an argument out of range. */
double earshot_noise_man_made_db(earshot_noise noise, double frequency_hz);
/** @return whether that is outside the frequencies the source states for the environment (0.3 to 250 MHz, city to 900).
 */
bool earshot_noise_extrapolated(earshot_noise noise, double frequency_hz);
/** @return the larger of sensitivity and noise floor + required S/N; NAN if it does not receive. */
double earshot_threshold_dbm(const earshot_radio *radio, double frequency_hz);

/** Loss by what a device is fixed to (docs/model/link-budget.md names the source of each).
 *  @return decibels, >= 0. */
double earshot_mounting_db(earshot_fixing fixing, double frequency_hz);
/** Loss by hand and body for a kind of device. @return decibels, >= 0; 0 for what is not held. */
double earshot_body_db(earshot_kind kind);

/** The stations of the plan, ready to judge, at one frequency.
 *  @return EARSHOT_OK; EARSHOT_NO_SUCH_NAME when the radio does not work at this frequency. */
earshot_status earshot_device_station(const earshot_site *site, size_t device, double frequency_hz,
                                      earshot_station *station);
earshot_status earshot_receiver_station(const earshot_site *site, size_t receiver, double frequency_hz,
                                        earshot_station *station);
/** A mount as a repeater's place: `receiver` lends its radio when the mount names none. */
earshot_status earshot_mount_station(const earshot_site *site, size_t mount, size_t receiver, double frequency_hz,
                                     earshot_station *station);

#ifdef __cplusplus
}
#endif
#endif
