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
        match self {
            Self::Load => "a load",
            Self::Fuse => "a fuse or breaker",
            Self::Battery => "a battery",
            Self::Relay => "a relay",
            Self::Source => "a charging source",
            Self::Switch => "something to switch",
            Self::Plug => "a plug",
            Self::Bridged => "a switch, relay contact, joint or pin",
            Self::Point | Self::Points => "a point",
            Self::OnOrOff => "`on` or `off`",
            Self::LoadAndFile => "a load and a file",
            Self::Meter => "a kind, `cheap` or `good`",
            Self::Number => "the number of a reading",
            Self::NumberAndValue => "the number of a reading and its value",
            Self::Words => "words",
            Self::Answer => "the word of an answer",
            Self::File | Self::Drawing => "a file",
            Self::Part | Self::StateName | Self::Command | Self::CaseName | Self::Complaint => "a name",
            Self::Class | Self::Circuit | Self::Handover | Self::Helping | Self::Nothing => "a name",
        }
    }

    /// The shape of what follows, for a hint; none where nothing does.
    pub fn shape(self) -> Option<&'static str> {
        Some(match self {
            Self::Load => "LOAD",
            Self::Fuse => "FUSE",
            Self::Battery => "BATTERY",
            Self::Relay => "RELAY",
            Self::Source => "SOURCE",
            Self::Switch => "NAME …",
            Self::Plug => "PLUG",
            Self::Bridged => "PART",
            Self::Point => "POINT",
            Self::Points => "POINT [POINT]",
            Self::Part => "PART",
            Self::StateName => "[STATE]",
            Self::Number => "NUMBER",
            Self::NumberAndValue => "NUMBER VALUE",
            Self::Meter => "cheap | good",
            Self::Words => "WORDS",
            Self::OnOrOff => "on | off",
            Self::Handover => "[all | LOAD] [list FILE] | on | off",
            Self::LoadAndFile => "LOAD FILE.html | FILE.md",
            Self::Circuit => "[PART, PART, …]",
            Self::Drawing => "FILE.ron",
            Self::File => "FILE.html | FILE.md",
            Self::Command => "[COMMAND]",
            Self::CaseName => "[NAME]",
            Self::Complaint => "the LOAD is dead",
            Self::Answer => "[QUESTION] WORD",
            Self::Class => "[CLASS]",
            Self::Helping => "on | off | never",
            Self::Nothing => return None,
        })
    }
}
