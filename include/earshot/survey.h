/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  Readings on site correct the plan: what the walls really cost, which reading does not fit, and what it means for the
 *  devices not yet fixed.
 */
#ifndef EARSHOT_SURVEY_H
#define EARSHOT_SURVEY_H

#include "earshot/decide.h"

#ifdef __cplusplus
extern "C" {
#endif

/* ---- readings ---- */

enum { EARSHOT_MAX_READINGS = 1000, EARSHOT_NO_DAY = -1000000 };

/** How the level of a reading was stated. */
typedef enum earshot_level_unit {
    EARSHOT_LEVEL_NONE,   /**< no level: only heard or not */
    EARSHOT_LEVEL_DBM,    /**< dBm */
    EARSHOT_LEVEL_MARGIN, /**< dB above the receiver's threshold */
    EARSHOT_LEVEL_SCALE   /**< a panel's scale of 0 to 100, a straight line over dBm */
} earshot_level_unit;

/** One row of the readings. */
typedef struct earshot_reading {
    unsigned line;   /**< in the file, from 1 */
    long device;     /**< of the plan; EARSHOT_NONE: a test transmitter */
    earshot_vec3 at; /**< where it stood */
    size_t receiver;
    double frequency_hz;
    earshot_level_unit unit;
    double level;         /**< as stated; NAN with EARSHOT_LEVEL_NONE */
    bool heard;           /**< without a level: whether it was heard */
    double attenuator_db; /**< in force while reading, or the power taken off for the test; 0 when not stated */
    double noise_dbm;     /**< measured at the receiver; NAN when not stated */
    long day;             /**< days since 1970-01-01; EARSHOT_NO_DAY when not stated */
    const char *note;     /**< NULL when not stated */
} earshot_reading;

typedef struct earshot_readings {
    const char *name; /**< of the file */
    earshot_reading *reading;
    size_t n;
    struct es_arena *arena; /**< owns all of it */
} earshot_readings;

/** Read readings: CSV after RFC 4180 with a header line; docs/calibrate.md lists the columns. Every row that cannot be
 *  used is a mistake with its line and column; nothing is dropped silently.
 *  @param[in]  plan      whose devices, receivers and bands the rows name
 *  @param[out] readings  free with earshot_readings_free; NULL on failure
 *  @param[out] findings  mistakes and warnings
 *  @return EARSHOT_OK; EARSHOT_READINGS; EARSHOT_FILE_READ; EARSHOT_MEMORY. */
earshot_status earshot_readings_read_file(const char *path, const earshot_plan *plan, earshot_readings **readings,
                                          earshot_findings *findings);
/** The same from memory; `name` stands for the file in messages. */
earshot_status earshot_readings_read(const char *text, size_t size, const char *name, const earshot_plan *plan,
                                     earshot_readings **readings, earshot_findings *findings);
void earshot_readings_free(earshot_readings *readings);

/** "2026-03-14" of a day since 1970-01-01. @param[out] text at least EARSHOT_DATE bytes */
enum { EARSHOT_DATE = 16 };
void earshot_day_text(long day, char *text);

/* ---- calibration ---- */

/** What is known before the readings. */
typedef struct earshot_calibrate_options {
    earshot_model model;
    double tolerance_db;                  /**< standard deviation of the common offset; INFINITY: nothing is known */
    double noise_db;                      /**< standard deviation of one reading, fading included; NAN: estimated */
    double scale_low_dbm, scale_high_dbm; /**< at 0 and 100 of the panel's scale; NAN: fitted */
    bool flat;                            /**< nothing is known of the materials either */
    const char *radio;                    /**< of a test transmitter; NULL: that of most devices */
} earshot_calibrate_options;

/** 3 dB of tolerance, everything else to be estimated. */
earshot_calibrate_options earshot_calibrate_defaults(void);

typedef enum earshot_reading_flag {
    EARSHOT_READING_FITS,
    EARSHOT_READING_WEAKER, /**< far weaker than the other readings foretell */
    EARSHOT_READING_STRONGER
} earshot_reading_flag;

/** One reading beside what was foretold of it. All levels in dBm without attenuator; the level that a reading shows on
 *  average is a little below the local mean power, as decibels of a fading level average lower. */
typedef struct earshot_reading_fit {
    double measured_dbm;  /**< NAN for a row that was only heard or not */
    double bound_dbm;     /**< the level needed to be heard, of such a row; NAN otherwise */
    double threshold_dbm; /**< of the receiver, with the noise that was measured, if it was */
    double predicted_dbm; /**< by the plan before the readings */
    double fitted_dbm;    /**< by the plan after the readings: walls and offset */
    double residual_db;   /**< measured - predicted; of a bound: how far it is missed, 0 if it holds */
    double after_db;      /**< measured - fitted; likewise */
    double left_out_db; /**< measured - what the readings at all other places foretell; likewise; NAN: they say nothing
                           of it */
    double left_out_sigma_db; /**< standard deviation of that; INFINITY: likewise */
    double trust;             /**< probability that it is not wild */
    earshot_reading_flag flag;
} earshot_reading_fit;

/** One material that readings met. */
typedef struct earshot_material_fit {
    size_t material; /**< of the plan */
    size_t readings; /**< that met it */
    double correction_db;
    double before_db, before_sigma_db; /**< loss in the first band that was read, and its spread; INFINITY: flat */
    double after_db, after_sigma_db;
    double unit; /**< passages, of the mean reading that met it */
    long group;  /**< of materials that cannot be told apart; EARSHOT_NONE */
} earshot_material_fit;

/** Materials that the readings cannot tell apart: they occur always together, in one ratio. */
typedef struct earshot_material_group {
    size_t n;                 /**< materials in it */
    bool with_offset;         /**< nor from the common offset */
    double together_db;       /**< loss of all in the ratio in which they occur, the first once */
    double together_sigma_db; /**< NAN with an offset, or where there is no one ratio */
} earshot_material_group;

typedef struct earshot_calibration {
    const earshot_plan *plan;
    const earshot_readings *readings;
    earshot_calibrate_options options;
    earshot_reading_fit *reading; /**< [readings->n] */
    earshot_material_fit *material;
    size_t n_materials;
    double *correlation; /**< [n_materials][n_materials] of the losses after */
    earshot_material_group *group;
    size_t n_groups;
    double offset_db, offset_sigma_db; /**< measured levels are higher than foretold by so much, everywhere */
    bool scale_used, scale_fitted;
    double scale_low_dbm, scale_high_dbm; /**< at 0 and at 100 */
    double scale_sigma_db;                /**< standard error of the relation in the middle of what was read */
    double noise_db;                      /**< standard deviation of one reading about the mean of many at its place */
    bool noise_estimated;                 /**< from places that were read more than once; else assumed or stated */
    size_t n_places;                      /**< different places (and receivers, bands) that were read */
    double model_share;                   /**< of the standard deviation that the model states for itself */
    double length_m;                      /**< distance over which what is left after the walls stays alike */
    double left_sigma_db;                 /**< standard deviation of what is left after the walls */
    bool left_estimated;                  /**< false: too few places, the values are those of docs/model/residuals.md */
    double rms_before_db, rms_after_db, rms_left_out_db; /**< of readings with a level; NAN when there are none */
    size_t rounds;                                       /**< until the estimate settled */
    bool settled;
    earshot_site *before, *after; /**< `after` has corrected materials, and adjusts every loss by what was left */
    struct es_posterior *posterior;
} earshot_calibration;

/** Estimate what the walls cost and what is left, from readings. docs/model/calibrate.md says how.
 *  @param[in]  plan, readings  must outlive the calibration
 *  @param[in]  scene  as for earshot_site_new
 *  @param[out] calibration  free with earshot_calibration_free; NULL on failure. Its site `after` serves check, map and
 *              all else as any site does
 *  @return EARSHOT_OK; EARSHOT_READINGS (none at all, a radio that cannot); EARSHOT_NO_SUCH_NAME;
 *          EARSHOT_ARGUMENT; EARSHOT_NOT_BUILT_IN; EARSHOT_MEMORY; EARSHOT_INTERNAL when stopped by the watch. */
earshot_status earshot_calibrate(const earshot_plan *plan, const char *scene, const earshot_readings *readings,
                                 const earshot_calibrate_options *options, const earshot_watch *watch,
                                 earshot_calibration **calibration, earshot_error *error);
void earshot_calibration_free(earshot_calibration *calibration);

/* ---- what to read next ---- */

/** A place where a reading would help. */
typedef struct earshot_next {
    size_t device;   /**< whose place it is */
    double sigma_db; /**< how well its level is known now */
    double fall;     /**< by how much the expected number of wrong verdicts falls */
} earshot_next;

/** Rank the places of all devices by what a reading there would teach, best first. A verdict is in doubt by the
 *  probability that it is wrong; the sum over devices is the expected number of wrong verdicts.
 *  @param[in]  check  of calibration->after
 *  @param[out] next   [check->n_devices] caller's memory
 *  @param[out] n      how many there are: devices that go by radio
 *  @param[out] doubt  expected number of wrong verdicts now
 *  @return EARSHOT_OK; EARSHOT_ARGUMENT; EARSHOT_MEMORY. */
earshot_status earshot_next_readings(const earshot_calibration *calibration, const earshot_check *check,
                                     earshot_next *next, size_t *n, double *doubt);

/* ---- visits ---- */

typedef enum earshot_trend_flag {
    EARSHOT_TREND_STEADY,
    EARSHOT_TREND_FALLING, /**< a slope that noise does not explain: a battery, something growing */
    EARSHOT_TREND_RISING,
    EARSHOT_TREND_DROPPED, /**< the last visit fell off from those before: new metal, a device moved */
    EARSHOT_TREND_UNKNOWN  /**< one visit only */
} earshot_trend_flag;

/** Levels of one device at one receiver and band over several visits. */
typedef struct earshot_trend {
    size_t device, receiver;
    double frequency_hz;
    size_t visits;
    long first_day, last_day;
    double first_dbm, last_dbm;                /**< means of the first and of the last visit */
    double slope_db_year, slope_sigma_db_year; /**< NAN with one visit */
    double change_db, change_sigma_db;         /**< last visit less the mean of those before */
    double margin_db;                          /**< last level less the receiver's threshold */
    double urgency;                            /**< what to look at first: larger is worse */
    earshot_trend_flag flag;
} earshot_trend;

typedef struct earshot_visits {
    earshot_trend *trend; /**< [n] the most urgent first */
    size_t n;
    size_t visits;                     /**< different days */
    double common_db, common_sigma_db; /**< change of all devices together at the last visit; NAN with one visit */
    double noise_db;                   /**< of one reading, against which drift is judged */
} earshot_visits;

/** Trends of the readings that have dates, levels and devices.
 *  @param[out] visits  arrays allocated here; free with earshot_visits_clear; n is 0 without such readings
 *  @return EARSHOT_OK; EARSHOT_MEMORY. */
earshot_status earshot_visits_find(const earshot_calibration *calibration, earshot_visits *visits);
void earshot_visits_clear(earshot_visits *visits);

#ifdef __cplusplus
}
#endif
#endif
