//! Arithmetic in macros: compiled once, worked out for each aperture.

use nom::character::complete::{char, one_of};
use nom::combinator::{map_opt, opt};
use nom::error::ErrorKind;
use nom::sequence::preceded;
use nom::{IResult, Parser};

use super::number;

/// One step of an expression in postfix order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    Number(f64),
    Variable(u32),
    Add,
    Subtract,
    Multiply,
    Divide,
    Negate,
}

/// Deepest brackets whatever the limit: they are followed by recursion.
pub const DEEPEST: u64 = 64;

/// Turns text into steps; remembers what was let pass on the way.
#[derive(Debug, Default)]
pub struct Compiler {
    pub steps: Vec<Step>,
    pub upper_x: bool,
    pub sign_after_operator: bool,
    /// Brackets went deeper than is taken.
    pub too_deep: bool,
    /// There are more steps than `most`.
    pub too_many: bool,
    /// Steps there is room for, those already there included.
    pub most: u64,
    deepest: u64,
}

type Parsed<'a> = IResult<&'a [u8], ()>;

impl Compiler {
    /// A compiler that takes brackets up to `deepest` levels, and any number of steps.
    pub fn new(deepest: u64) -> Self {
        Self { deepest: deepest.min(DEEPEST), most: u64::MAX, ..Self::default() }
    }

    /// The whole of `text` as one expression; its steps follow those already there.
    pub fn compile(&mut self, text: &[u8]) -> bool {
        matches!(self.expression(text, 0), Ok(([], ())))
    }

    fn expression<'a>(&mut self, input: &'a [u8], depth: u64) -> Parsed<'a> {
        let (input, lead) = opt(sign).parse(input)?;
        let (mut rest, ()) = self.term(input, depth)?;
        if lead == Some('-') {
            self.steps.push(Step::Negate);
        }
        while let Ok((next, operator)) = sign(rest) {
            let (next, ()) = self.term(next, depth)?;
            self.steps.push(if operator == '+' { Step::Add } else { Step::Subtract });
            rest = next;
        }
        Ok((rest, ()))
    }

    fn term<'a>(&mut self, input: &'a [u8], depth: u64) -> Parsed<'a> {
        let (mut rest, ()) = self.factor(input, depth)?;
        while let Ok((next, operator)) = one_of::<_, _, nom::error::Error<&[u8]>>("xX/").parse(rest) {
            self.upper_x |= operator == 'X';
            let (next, ()) = self.factor(next, depth)?;
            self.steps.push(if operator == '/' { Step::Divide } else { Step::Multiply });
            rest = next;
        }
        Ok((rest, ()))
    }

    fn factor<'a>(&mut self, input: &'a [u8], depth: u64) -> Parsed<'a> {
        if let Ok((rest, lead)) = sign(input) {
            self.sign_after_operator = true;
            let (rest, ()) = self.operand(rest, depth)?;
            if lead == '-' {
                self.steps.push(Step::Negate);
            }
            return Ok((rest, ()));
        }
        self.operand(input, depth)
    }

    fn operand<'a>(&mut self, input: &'a [u8], depth: u64) -> Parsed<'a> {
        if self.steps.len() as u64 >= self.most {
            self.too_many = true;
            return Err(nom::Err::Failure(nom::error::Error::new(input, ErrorKind::TooLarge)));
        }
        if let [b'(', inner @ ..] = input {
            if depth >= self.deepest {
                self.too_deep = true;
                return Err(nom::Err::Failure(nom::error::Error::new(input, ErrorKind::TooLarge)));
            }
            let (rest, ()) = self.expression(inner, depth.saturating_add(1))?;
            return char(')').map(|_| ()).parse(rest);
        }
        if let Ok((rest, number)) = variable(input) {
            self.steps.push(Step::Variable(number));
            return Ok((rest, ()));
        }
        let (rest, value) = map_opt(number::unsigned_decimal, value).parse(input)?;
        self.steps.push(Step::Number(value));
        Ok((rest, ()))
    }
}

fn sign(input: &[u8]) -> IResult<&[u8], char> {
    one_of("+-").parse(input)
}

/// `$n`, n from 1.
pub fn variable(input: &[u8]) -> IResult<&[u8], u32> {
    preceded(char('$'), map_opt(number::code, |n| (n > 0).then_some(n))).parse(input)
}

fn value(text: &[u8]) -> Option<f64> {
    std::str::from_utf8(text).ok()?.parse::<f64>().ok().filter(|v| v.is_finite())
}

/// Why an expression has no value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoValue {
    /// It divides by zero.
    Division,
    /// It grew beyond what a number holds.
    TooLarge,
}

/// The value of `steps`; `lookup` gives the variables, 0 where undefined.
pub fn evaluate(steps: &[Step], stack: &mut Vec<f64>, lookup: impl Fn(u32) -> f64) -> Result<f64, NoValue> {
    stack.clear();
    for step in steps {
        let value = match step {
            Step::Number(value) => *value,
            Step::Variable(number) => lookup(*number),
            Step::Negate => -stack.pop().unwrap_or(0.0),
            operator => {
                let right = stack.pop().unwrap_or(0.0);
                let left = stack.pop().unwrap_or(0.0);
                binary(*operator, left, right)?
            }
        };
        stack.push(value);
    }
    let value = stack.pop().unwrap_or(0.0);
    if value.is_finite() { Ok(value) } else { Err(NoValue::TooLarge) }
}

fn binary(operator: Step, left: f64, right: f64) -> Result<f64, NoValue> {
    Ok(match operator {
        Step::Add => left + right,
        Step::Subtract => left - right,
        Step::Multiply => left * right,
        _ if right == 0.0 => return Err(NoValue::Division),
        _ => left / right,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn work_out(text: &str) -> (Result<f64, NoValue>, Compiler) {
        let mut compiler = Compiler::new(32);
        assert!(compiler.compile(text.as_bytes()), "{text}");
        let lookup = |n| match n {
            1 => 4.0,
            2 => 3.0,
            _ => 0.0,
        };
        (evaluate(&compiler.steps, &mut Vec::new(), lookup), compiler)
    }

    /// Values follow from the grammar (Gerber layer format 3.5) by hand, with $1 = 4 and $2 = 3.
    #[test]
    fn values_follow_the_grammar() {
        let rows = [
            ("$1+$2x2", 10.0),
            ("($1+$2)x2", 14.0),
            ("$1-$2-1", 0.0),
            ("8/4/2", 1.0),
            ("8/4x2", 4.0),
            ("-$1+$2", -1.0),
            ("-$1x$2", -12.0),
            ("-$1-$2", -7.0),
            ("2-$1/2", 0.0),
            ("1/3", 1.0 / 3.0),
            ("$9", 0.0),
            ("100+$3", 100.0),
            (".5", 0.5),
            ("5.", 5.0),
            ("-(1+.5)", -1.5),
        ];
        for (text, expected) in rows {
            assert_eq!(work_out(text).0, Ok(expected), "{text}");
        }
        assert_eq!(work_out("5/0").0, Err(NoValue::Division));
    }

    #[test]
    fn old_habits_pass_and_are_told() {
        let (value, compiler) = work_out("$1X2");
        assert!(value == Ok(8.0) && compiler.upper_x && !compiler.sign_after_operator);
        let (value, compiler) = work_out("$1x-2");
        assert!(value == Ok(-8.0) && compiler.sign_after_operator && !compiler.upper_x);
    }

    #[test]
    fn nonsense_and_deep_brackets_are_refused() {
        for text in ["", "1+", "(1", "1)", "$0", "$", "1..2", "1e3", "x", "1,2"] {
            assert!(!Compiler::new(32).compile(text.as_bytes()), "{text}");
        }
        let deep = "(".repeat(100_000);
        assert!(!Compiler::new(32).compile(deep.as_bytes()));
    }

    #[test]
    fn steps_beyond_the_room_are_not_kept() {
        let mut compiler = Compiler { most: 9, ..Compiler::new(32) };
        assert!(!compiler.compile("1+".repeat(1000).as_bytes()) && compiler.too_many);
        assert!(compiler.steps.len() <= 10, "{}", compiler.steps.len());
    }
}
