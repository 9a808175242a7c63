//! What follows a verb: the kinds of thing that can be named after it.

/// What follows a command.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Takes {
    /// Nothing.
    Nothing,
    Load,
    /// A fuse.
    Fuse,
    /// A battery.
    Battery,
    /// A relay.
    Relay,
    /// A charging source.
    Source,
    /// Switches and the like.
    Switch,
    /// A plug.
    Plug,
    /// What a lead can lie across.
    Bridged,
    Point,
    /// Two points, the second may be left out.
    Points,
    /// Any part.
    Part,
    /// A state with a name, may be left out.
    StateName,
    /// A reading's number.
    Number,
    /// A reading's number and its value.
    NumberAndValue,
    /// A kind of meter.
    Meter,
    /// Free words.
    Words,
    /// A file.
    File,
    /// `on` or `off`.
    OnOrOff,
    /// Nothing, `list FILE`, `on` or `off`.
    Handover,
    /// A load and a file.
    LoadAndFile,
    /// A circuit in one line, may be left out.
    Circuit,
    /// A vehicle file.
    Drawing,
    /// A command, may be left out.
    Command,
    /// The name of a case, may be left out.
    CaseName,
    /// A complaint in people's words.
    Complaint,
    /// A question, may be left out, and the word of an answer.
    Answer,
    /// The class of a complaint tree, may be left out.
    Class,
    /// Who looks and reads, may be left out.
    Helping,
}

impl Takes {
    /// What to say that is missing.
    pub fn missing(self) -> &'static str {
        self.words().0
    }

    /// The shape of what follows, for a hint; none where nothing does.
    pub fn shape(self) -> Option<&'static str> {
        Some(self.words().1).filter(|shape| !shape.is_empty())
    }

    fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::Load => ("a load", "LOAD"),
            Self::Fuse => ("a fuse or breaker", "FUSE"),
            Self::Battery => ("a battery", "BATTERY"),
            Self::Relay => ("a relay", "RELAY"),
            Self::Source => ("a charging source", "SOURCE"),
            Self::Switch => ("something to switch", "NAME …"),
            Self::Plug => ("a plug", "PLUG"),
            Self::Bridged => ("a switch, relay contact, joint or pin", "PART"),
            Self::Point => ("a point", "POINT"),
            Self::Points => ("a point", "POINT [POINT]"),
            Self::Part => ("a name", "PART"),
            Self::StateName => ("a name", "[STATE]"),
            Self::Number => ("the number of a reading", "NUMBER"),
            Self::NumberAndValue => ("the number of a reading and its value", "NUMBER VALUE"),
            Self::Meter => ("a kind, `cheap` or `good`", "cheap | good"),
            Self::Words => ("words", "WORDS"),
            Self::OnOrOff => ("`on` or `off`", "on | off"),
            Self::Handover => ("a name", "[all | LOAD] [list FILE] | on | off"),
            Self::LoadAndFile => ("a load and a file", "LOAD FILE.html | FILE.md"),
            Self::Circuit => ("a name", "[PART, PART, …]"),
            Self::Drawing => ("a file", "FILE.ron"),
            Self::File => ("a file", "FILE.html | FILE.md"),
            Self::Command => ("a name", "[COMMAND]"),
            Self::CaseName => ("a name", "[NAME]"),
            Self::Complaint => ("a name", "the LOAD is dead"),
            Self::Answer => ("the word of an answer", "[QUESTION] WORD"),
            Self::Class => ("a name", "[CLASS]"),
            Self::Helping => ("a name", "on | off | never"),
            Self::Nothing => ("a name", ""),
        }
    }
}
