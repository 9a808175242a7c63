//! Likelihoods of signs: how likely each thing that people see, hear and feel
//! is under a hypothesis. None is nought or one: people look at the wrong fuse
//! and hear the relay beside.

use super::row::{CHANCE, POSITIVE, SHARE, parameters};
use crate::quantity::{Amps, Watts};

parameters! {
    /// Chances of signs, and the quantities that they hang on. A share is one
    /// of the voltage that a load gets when all is sound, unless said otherwise.
    Signs {
        /// Share below which half of all lamps, heaters and motors look dead.
        filament_dead: f64 where SHARE,
        /// Share below which half of them look weak.
        filament_weak: f64 where SHARE,
        /// The same of valves, which let go: dead.
        valve_dead: f64 where SHARE,
        /// The same: weak.
        valve_weak: f64 where SHARE,
        /// The same of electronics, which cut out early: dead.
        electronics_dead: f64 where SHARE,
        /// The same: weak.
        electronics_weak: f64 where SHARE,
        /// Width of the logistic step from dead to weak, as a share.
        dead_width: f64 where POSITIVE,
        /// Width of the logistic step from weak to right, as a share.
        weak_width: f64 where POSITIVE,
        /// Chances that a dead load is said to be dead, weak and right.
        said_of_dead: [f64; 3] where CHANCE,
        /// The same of a weak load.
        said_of_weak: [f64; 3] where CHANCE,
        /// The same of one that is right.
        said_of_right: [f64; 3] where CHANCE,

        /// Current at which light-emitting diodes can be seen.
        glow_current: Amps where POSITIVE,
        /// Share from which a load that is off can glow.
        glow_from: f64 where SHARE,
        /// Share from which it would be said to be on.
        glow_below: f64 where SHARE,
        /// Chance of glowing, where it does.
        glows: f64 where CHANCE,
        /// Chance that one that is on is said to glow.
        glows_when_on: f64 where CHANCE,
        /// Chance that one that is dark is said to glow.
        glows_when_dark: f64 where CHANCE,

        /// Chance that a load that trips and starts again is said to work only
        /// sometimes.
        hunts: f64 where CHANCE,
        /// Chance that a sound load is said to.
        sound_sometimes: f64 where CHANCE,
        /// Least chance under any fault.
        faulty_sometimes: f64 where CHANCE,
        /// How well a fault of a contact fits that, from 0 to 1.
        contact_sometimes: f64 where SHARE,
        /// The same of a cable, an isolator, a breaker or a coil.
        conductor_sometimes: f64 where SHARE,
        /// The same of a load.
        load_sometimes: f64 where SHARE,
        /// The same of an open fuse.
        open_fuse_sometimes: f64 where SHARE,
        /// The same of anything else.
        other_sometimes: f64 where SHARE,

        /// Chance that a reading with a fault on its way that comes and goes as badly
        /// as can be is said to wander.
        wanders: f64 where CHANCE,
        /// Chance that any other is.
        steady_wanders: f64 where CHANCE,

        /// Chance that a fuse or breaker is said to blow that opens at once.
        blows: f64 where CHANCE,
        /// Chance that one is that does not.
        holds_and_blows: f64 where CHANCE,
        /// Share of its rating that a fuse carries for hours in a warm holder.
        carries_for_hours: f64 where SHARE,
        /// What a current that opens it in the end adds to the chance.
        blows_in_the_end: f64 where SHARE,
        /// Chance that an open fuse looks blown.
        looks_blown: f64 where CHANCE,
        /// Chance that a whole one does.
        whole_looks_blown: f64 where CHANCE,

        /// Shares of nominal voltage at which a lamp in the place of a fuse is dim for
        /// certain, and bright.
        lamp_bright: [f64; 2] where POSITIVE,
        /// Chance that one is called the other.
        lamp_mistaken: f64 where CHANCE,

        /// Chance that a weak battery is said to go flat.
        weak_goes_flat: f64 where CHANCE,
        /// Chance that a sound one is that nothing drains.
        sound_goes_flat: f64 where CHANCE,
        /// Hours to flat below which a drain shows overnight.
        overnight_hours: f64 where POSITIVE,
        /// Chance then.
        flat_overnight: f64 where CHANCE,
        /// Hours to flat below which it shows over a few days.
        days_hours: f64 where POSITIVE,
        /// Chance then.
        flat_in_days: f64 where CHANCE,
        /// Hours to flat below which it shows over a week or two.
        weeks_hours: f64 where POSITIVE,
        /// Chance then.
        flat_in_weeks: f64 where CHANCE,

        /// Share of the usual charging current below which a battery is not
        /// charged.
        charged_from: f64 where SHARE,
        /// The same below which it is charged with too little.
        well_charged_from: f64 where SHARE,
        /// Chance that one is said to be uncharged that is not charged.
        uncharged: f64 where CHANCE,
        /// The same of one charged with too little.
        little_uncharged: f64 where CHANCE,
        /// The same of one that is charged.
        charged_uncharged: f64 where CHANCE,
        /// Chance that one is said to be charged with too little that is not charged.
        none_charges_little: f64 where CHANCE,
        /// The same of one charged with too little.
        charges_little: f64 where CHANCE,
        /// The same of one that is charged.
        well_charges_little: f64 where CHANCE,

        /// Current below which a coil is not fed.
        coil_current: Amps where POSITIVE,
        /// Chance that a relay that pulls in is heard.
        clicks: f64 where CHANCE,
        /// Chance that one is heard that does not.
        still_clicks: f64 where CHANCE,
        /// Chance that one with a welded contact is heard.
        welded_clicks: f64 where CHANCE,

        /// Current that tells a source that gives from one that idles.
        giving_current: Amps where POSITIVE,
        /// Chance that one that gives is said to.
        gives: f64 where CHANCE,
        /// Chance that one that idles is.
        idle_gives: f64 where CHANCE,

        /// Heat at which half of all hands feel that a small part is warm.
        warm: Watts where POSITIVE,
        /// Steepness of the logistic step in ln of the heat.
        warm_steepness: f64 where POSITIVE,
        /// Chance that a cold part is said to be hot.
        cold_feels_hot: f64 where CHANCE,
        /// What heat without end adds to it.
        feels_hot: f64 where SHARE,

        /// Chance that what comes and goes as badly as can be comes back when it is
        /// re-seated, moved or hit.
        comes_back: f64 where CHANCE,
        /// Chance that anything comes back by itself just then.
        comes_back_by_itself: f64 where CHANCE,

        /// Chance that corrosion shows at what it has eaten.
        green: f64 where CHANCE,
        /// Chance that it shows elsewhere.
        sound_green: f64 where CHANCE,

        /// Share of words by phone that a load is dead which are to be taken at their
        /// word: a lit pilot lamp counts as dead.
        trust_dead: f64 where SHARE,
        /// The same of any other look, also of a fuse: the wrong one was looked at.
        trust_looks: f64 where SHARE,
        /// The same of a click: the relay beside was heard.
        trust_sound: f64 where SHARE,
        /// The same of a source's lamp.
        trust_display: f64 where SHARE,
        /// The same of what works only sometimes.
        trust_sometimes: f64 where SHARE,
        /// The same of anything else.
        trust_other: f64 where SHARE,

        /// Times the odds of a part just after it was repaired: the repair did
        /// not hold, or not its cause.
        repaired: f64 where POSITIVE,
        /// Times the odds of a part beside it: hands were there.
        worked_beside: f64 where POSITIVE,
        /// Times the odds of a part that failed in another vehicle of the kind.
        repaired_elsewhere: f64 where POSITIVE,
        /// Days after which what is left of a raise is a third.
        repair_fades: f64 where POSITIVE,
        /// The same of hands that were there, in days.
        hands_fade: f64 where POSITIVE,
    }
}
