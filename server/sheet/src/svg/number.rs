/// A length to a hundredth of a point, which no eye sees and no printer prints.
pub struct Number(pub f32);

impl Number {
    /// Writes it with as few letters as it takes.
    pub fn write(&self, out: &mut String) {
        let hundredths = (self.0 * 100.0).round() as i64;
        if hundredths < 0 {
            out.push('-');
        }
        let (whole, part) = (hundredths.unsigned_abs() / 100, hundredths.unsigned_abs() % 100);
        if whole > 0 || part == 0 {
            Self::digits(whole, out);
        }
        if part > 0 {
            out.push('.');
            out.push(char::from(b'0' + (part / 10) as u8));
            if part % 10 > 0 {
                out.push(char::from(b'0' + (part % 10) as u8));
            }
        }
    }

    /// Writes a whole number.
    pub fn whole(number: u32, out: &mut String) {
        Self::digits(number.into(), out);
    }

    fn digits(mut number: u64, out: &mut String) {
        let mut digits = [b'0'; 20];
        let mut at = digits.len();
        loop {
            at -= 1;
            digits[at] = b'0' + (number % 10) as u8;
            number /= 10;
            if number == 0 {
                break;
            }
        }
        out.extend(digits[at..].iter().map(|digit| char::from(*digit)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_short() {
        for (length, expected) in [
            (0.0, "0"),
            (-0.001, "0"),
            (12.0, "12"),
            (0.5, ".5"),
            (-0.25, "-.25"),
            (595.28, "595.28"),
            (1.999, "2"),
            (-3.101, "-3.1"),
            (10.05, "10.05"),
        ] {
            let mut out = String::new();
            Number(length).write(&mut out);
            assert_eq!(out, expected);
        }
    }
}
